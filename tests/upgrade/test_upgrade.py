"""The database of an earlier release, brought up by the code of today, with every kind of row in it."""

import lzma
import sqlite3
from pathlib import Path

import pytest
from django.apps import apps
from django.core import mail
from django.core.management import call_command
from django.db import connections, transaction
from django.utils import timezone

from estimating.client.outbox import send_waiting
from estimating.models import WaitingMail
from estimating.verification.documents import faults
from tests.upgrade.make_release import FILE

WITHOUT_ROWS = {
    "auth_permission": "Django's own; one person uses the site, and nobody is given single rights",
    "auth_group": "Django's own, not used",
    "auth_group_permissions": "Django's own, not used",
    "auth_user_groups": "Django's own, not used",
    "auth_user_user_permissions": "Django's own, not used",
    "django_content_type": "Django's own, made by migrations anew",
    "django_session": "Django's own; `account.Device` stands in its place",
}


def tables_of_models() -> set[str]:
    models = [model for model in apps.get_models(include_auto_created=True) if model._meta.managed]
    return {model._meta.db_table for model in models}


@pytest.mark.one_database
@pytest.mark.django_db(transaction=True)
def test_the_database_of_the_release_comes_up_and_stands_as_it_was_issued(tmp_path: Path) -> None:
    file = tmp_path / "benchrule.sqlite3"
    file.write_bytes(lzma.decompress(FILE.read_bytes()))
    with sqlite3.connect(file) as before:
        there = {name for (name,) in before.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        filled = {name for name in there if before.execute(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone()}
    before.close()
    assert (there & tables_of_models()) - filled <= WITHOUT_ROWS.keys()

    connection = connections["default"]
    own = connection.settings_dict["NAME"]
    connection.close()
    connection.settings_dict["NAME"] = f"{file}"
    try:
        call_command("migrate", interactive=False, verbosity=0)
        call_command("migrate", check_unapplied=True, verbosity=0)
        with transaction.atomic():
            assert list(faults()) == []
        of_events = WaitingMail.objects.filter(sent_at=None, to="").values_list("event__kind", flat=True)
        assert {*of_events} >= {"accepted", "question"}
        send_waiting(timezone.now())
        assert not WaitingMail.objects.filter(sent_at=None).exists()
        went = [(message.to[0], message.subject) for message in mail.outbox]
        assert len(went) == len({*went}) > 10
    finally:
        connection.close()
        connection.settings_dict["NAME"] = own
