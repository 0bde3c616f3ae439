"""Who waits to write on SQLite gets his turn, and what broke off with the site needn't wait for anything."""

import threading
import time

import pytest
from django.db import connection, connections, transaction
from django.utils import timezone

from saving.models import SavedForm
from saving.once import forget_cut_off

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.one_database]


def test_who_waited_longer_writes_first() -> None:
    """SQLite asks ever more rarely for one that waits: a newcomer would come before him."""
    wrote: list[str] = []

    def write(name: str) -> None:
        with transaction.atomic():
            wrote.append(name)
        connections.close_all()

    threads = [threading.Thread(target=write, args=[name]) for name in ("first", "second")]
    with transaction.atomic():
        threads[0].start()
        time.sleep(0.4)
        threads[1].start()
        time.sleep(0.005)
    for thread in threads:
        thread.join()
    assert wrote == ["first", "second"]


def test_what_only_reads_waits_for_nobody() -> None:
    read: list[bool] = []

    def look() -> None:
        with connection.deferred():  # type: ignore[attr-defined]  # of our own connection
            read.append(SavedForm.objects.exists())
        connections.close_all()

    with transaction.atomic():
        thread = threading.Thread(target=look)
        thread.start()
        thread.join(5)
        assert read == [False]


def test_a_form_cut_off_by_the_end_of_the_site_can_be_sent_again_at_once() -> None:
    digest = "0" * 64
    SavedForm.objects.create(pk="cut off", content_sha256=digest, saved_at=timezone.now())
    SavedForm.objects.create(pk="saved", content_sha256=digest, led_to="/jobs/1/", saved_at=timezone.now())
    SavedForm.objects.create(pk="open", content_sha256=digest, opened="{}", saved_at=timezone.now())
    forget_cut_off()
    assert set(SavedForm.objects.values_list("pk", flat=True)) == {"saved", "open"}
