"""The page on backups: one now, one to take away, and what is wrong with them."""

import os
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from django.test import Client
from pytest_django import Settings

from backup.archive import unpack
from backup.folder import Tried, backups, caution, note_tried
from backup.manifest import UnreadableBackup

pytestmark = pytest.mark.django_db(transaction=True)
OWN = "a tape and a pencil"  # see `owner`
NOW = datetime(2026, 11, 28, 12, tzinfo=UTC)


@pytest.fixture(autouse=True)
def folder(tmp_path: Path, settings: Settings) -> Path:
    settings.BACKUPS_DIR = tmp_path / "backups"
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    settings.BACKUP_PASSPHRASE_FILE = ""
    (settings.DATA_DIR / "secret_key").write_text("not to be guessed")
    return Path(settings.BACKUPS_DIR)


def test_one_tap_makes_todays_backup_and_a_second_takes_its_place(signed_in: Client, folder: Path) -> None:
    assert "There is no backup yet" in signed_in.get("/firm/backups/").content.decode()
    for _ in range(2):
        answer = signed_in.post("/firm/backups/now/", follow=True)
        assert answer.status_code == 200
    (kept,) = backups()
    assert kept.file.name in signed_in.get("/firm/backups/").content.decode()


@pytest.mark.one_database
def test_one_to_take_away_opens_only_by_the_passphrase_that_was_typed(
    signed_in: Client, tmp_path: Path
) -> None:
    typed = {"own_password": OWN, "passphrase": "four words on a card", "again": "four words on a card"}
    answer = signed_in.post("/firm/backups/save/", typed)
    assert answer["Content-Disposition"].startswith('attachment; filename="benchrule-')
    file, back = tmp_path / "taken", tmp_path / "back"
    file.write_bytes(b"".join(answer))
    assert b"not to be guessed" not in file.read_bytes()
    with pytest.raises(UnreadableBackup, match="Give its passphrase"):
        unpack(file, back)
    with pytest.raises(UnreadableBackup, match="the passphrase is another one"):
        unpack(file, back, "three words only")
    assert not back.exists()
    unpack(file, back, "four words on a card")
    assert (back / "secret_key").read_text() == "not to be guessed"


@pytest.mark.parametrize(
    ("typed", "again", "sentence"),
    [
        ("short", "short", "short enough to be guessed"),
        ("four words on a card", "four words on a cart", "The two differ"),
    ],
)
def test_a_passphrase_that_wont_do_is_said_beside_its_field(
    signed_in: Client, typed: str, again: str, sentence: str
) -> None:
    answer = signed_in.post("/firm/backups/save/", {"own_password": OWN, "passphrase": typed, "again": again})
    assert answer.status_code == 422
    assert sentence in answer.content.decode()


def test_a_backup_of_the_day_before_yesterday_is_too_old(signed_in: Client) -> None:
    signed_in.post("/firm/backups/now/")
    (kept,) = backups()
    made_at = (NOW - timedelta(days=3)).timestamp()
    os.utime(kept.file, (made_at, made_at))
    assert caution(NOW) == "The newest backup is 3 days old. It should be made every night."
    assert caution(NOW - timedelta(days=2)) == ""


def test_a_backup_that_didnt_hold_is_named(signed_in: Client) -> None:
    signed_in.post("/firm/backups/now/")
    (kept,) = backups()
    note_tried(Tried(NOW, kept.file.name, ("Estimate 1001 differs.",)))
    said = signed_in.get("/firm/backups/").content.decode()
    assert f"The backup {kept.file.name} doesn&#x27;t hold: Estimate 1001 differs." in said
