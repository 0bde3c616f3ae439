"""The database of an earlier release, brought up by the code of today, with every kind of row in it."""

import sqlite3
from datetime import timedelta
from pathlib import Path

import pytest
from django.apps import apps
from django.core import mail
from django.core.management import call_command
from django.db import connection, transaction
from django.utils import timezone

from estimating.client.outbox import send_waiting
from estimating.models import WaitingMail
from estimating.verification.documents import faults
from tests.upgrade.make_release import FILE
from tests.upgrade.put_in import in_place_of_ours

WITHOUT_ROWS = {
    "auth_permission": "Django's own; one person uses the site, and nobody is given single rights",
    "auth_group": "Django's own, not used",
    "auth_group_permissions": "Django's own, not used",
    "auth_user_groups": "Django's own, not used",
    "auth_user_user_permissions": "Django's own, not used",
    "django_content_type": "Django's own, made by migrations anew",
    "django_session": "Django's own; `account.Device` stands in its place",
}


def schema_of(file: str | Path) -> dict[str, set[tuple[object, ...]]]:
    """The columns of each table as it came to be, and what its indexes are made of, without their places."""
    database = sqlite3.connect(file)
    tables = [name for (name,) in database.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
    found: dict[str, set[tuple[object, ...]]] = {}
    for table in tables:
        found[table] = {row[1:] for row in database.execute(f'PRAGMA table_info("{table}")')}
        found[table] |= {row[2:] for row in database.execute(f'PRAGMA foreign_key_list("{table}")')}
        for _, name, *how in list(database.execute(f'PRAGMA index_list("{table}")')):
            columns = [row[2] for row in database.execute(f'PRAGMA index_info("{name}")')]
            found[table].add((*columns, *how))
    database.close()
    return found


def tables_of_models() -> set[str]:
    models = [model for model in apps.get_models(include_auto_created=True) if model._meta.managed]
    return {model._meta.db_table for model in models}


@pytest.mark.one_database
@pytest.mark.django_db(transaction=True)
def test_the_database_of_the_release_comes_up_and_stands_as_it_was_issued(tmp_path: Path) -> None:
    with in_place_of_ours(FILE, tmp_path) as file:
        with sqlite3.connect(file) as before:
            there = {
                name for (name,) in before.execute("SELECT name FROM sqlite_master WHERE type = 'table'")
            }
            filled = {name for name in there if before.execute(f'SELECT 1 FROM "{name}" LIMIT 1').fetchone()}
        before.close()
        assert (there & tables_of_models()) - filled <= WITHOUT_ROWS.keys()

        call_command("migrate", interactive=False, verbosity=0)
        call_command("migrate", check_unapplied=True, verbosity=0)
        with transaction.atomic():
            assert list(faults()) == []
        of_events = WaitingMail.objects.filter(sent_at=None, to="").values_list("event__kind", flat=True)
        assert {*of_events} >= {"accepted", "question"}
        send_waiting(timezone.now() + timedelta(days=30))  # the release's day is past by then
        assert not WaitingMail.objects.filter(sent_at=None).exists()
        went = [(message.to[0], message.subject) for message in mail.outbox]
        assert len(went) == len({*went}) > 10

        connection.close()
        connection.settings_dict["NAME"] = f"{tmp_path / 'new.sqlite3'}"
        call_command("migrate", interactive=False, verbosity=0)
        connection.close()
        assert schema_of(file) == schema_of(tmp_path / "new.sqlite3")
