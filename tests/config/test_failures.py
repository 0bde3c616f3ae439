"""A full disk or a folder that can't be written to: pages are still read, and a save says why it fails."""

import errno
import os
import sqlite3
import subprocess
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.db import DatabaseError, connection
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from catalog.models import Firm
from estimating.database import trouble
from estimating.database.trouble import Trouble, trouble_of
from estimating.models import Client as Customer
from tests.factories import make_client

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.sqlite]


@pytest.fixture
def browser(owner: User) -> Client:
    client = Client(raise_request_exception=False)
    client.force_login(owner)
    Firm.current()
    return client


@contextmanager
def database_in(folder: Path, settings: Settings) -> Iterator[Path]:
    """Have the site use a copy of the test's database in a folder; gives the file."""
    path = folder / "benchrule.sqlite3"
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [f"{path}"])
    connection.close()
    kept, connection.settings_dict["NAME"] = connection.settings_dict["NAME"], path
    settings.DATA_DIR = folder
    try:
        connection.ensure_connection()  # puts it in WAL mode
        connection.close()
        yield path
    finally:
        connection.close()
        connection.settings_dict["NAME"] = kept


def mounted(disk: Path) -> bool:
    """Mount a disk of 4 MB, as only root can, and not in every container."""
    mount = ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", f"{disk}"]
    return not os.geteuid() and not subprocess.run(mount, capture_output=True).returncode


@pytest.fixture
def disk(tmp_path: Path) -> Iterator[Path]:
    """The folder of a small disk, or one that stands for it."""
    folder = tmp_path / "disk"
    folder.mkdir()
    is_mounted = mounted(folder)
    yield folder
    if is_mounted:
        subprocess.run(["umount", "-l", f"{folder}"], check=True)


@contextmanager
def full(disk: Path) -> Iterator[None]:
    """Fill the disk; where it is none of its own, take SQLite the place for its shared memory."""
    if disk.is_mount():
        filler = disk / "filler"
        with suppress(OSError), filler.open("wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
        yield
        filler.unlink()
    else:
        with pytest.MonkeyPatch.context() as patch, unwritable(disk):
            patch.setattr(trouble, "is_full", lambda: True)
            yield


@contextmanager
def unwritable(disk: Path) -> Iterator[None]:
    """Let nothing be written to the disk; where it is none of its own, as `full` does."""
    if disk.is_mount():
        subprocess.run(["mount", "-o", "remount,ro", f"{disk}"], check=True)
        yield
    else:
        in_the_way = disk / "benchrule.sqlite3-shm"
        in_the_way.mkdir()
        yield
        in_the_way.rmdir()


def saved(browser: Client, customer: Customer) -> tuple[int, str]:
    answer = browser.post(reverse("client-edit", args=[customer.pk]), {"name": "Ann of Elm Street"})
    connection.close()
    return answer.status_code, answer.content.decode()


def read(browser: Client, address: str) -> int:
    status = browser.get(address).status_code
    connection.close()
    return status


def test_on_a_full_disk_pages_are_read_and_a_save_says_why_not(
    browser: Client, disk: Path, settings: Settings
) -> None:
    customer = make_client(name="Marisol Okonjo")
    with database_in(disk, settings):
        with full(disk):
            assert read(browser, "/") == 200
            assert read(browser, reverse("client-edit", args=[customer.pk])) == 200
            status, page = saved(browser, customer)
            assert Customer.objects.get().name == "Marisol Okonjo"
            connection.close()
        assert status == 507
        assert "no room left on this machine's disk. Nothing of what you just typed was saved." in page
        assert saved(browser, customer)[0] == 302
        assert Customer.objects.get().name == "Ann of Elm Street"


def test_where_nothing_may_be_written_pages_are_read_and_a_save_says_why_not(
    browser: Client, disk: Path, settings: Settings
) -> None:
    customer = make_client(name="Marisol Okonjo")
    with database_in(disk, settings), unwritable(disk):
        assert read(browser, "/") == 200
        status, page = saved(browser, customer)
        assert status == 503
        assert "Benchrule may not write to the folder that its data lies in." in page


def test_a_save_that_others_keep_waiting_too_long_says_to_save_again(
    browser: Client, tmp_path: Path, settings: Settings
) -> None:
    customer = make_client(name="Marisol Okonjo")
    with (
        database_in(tmp_path, settings) as path,
        closing(sqlite3.connect(path, isolation_level=None)) as other,
    ):
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA busy_timeout=20")
        other.execute("BEGIN IMMEDIATE")
        status, page = saved(browser, customer)
        other.execute("ROLLBACK")
        assert status == 503
        assert "Others have been saving for too long." in page
        assert saved(browser, customer)[0] == 302


def test_a_database_that_may_not_grow_says_that_there_is_no_room() -> None:
    """What SQLite answers when the disk runs full in the middle of a save."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA max_page_count = 1")  # as many as there are
    try:
        with pytest.raises(DatabaseError) as error:
            make_client(name="Ann" * 3_000_000)  # more than earlier tests left free
    finally:
        connection.close()
    assert trouble_of(error.value) is Trouble.FULL


def test_a_page_that_the_database_is_too_damaged_for_says_what_to_do(
    browser: Client, settings: Settings, tmp_path: Path
) -> None:
    with database_in(tmp_path, settings) as path:
        with connection.cursor() as cursor:
            cursor.execute("SELECT rootpage FROM sqlite_master WHERE name = 'account_device'")
            (page,) = cursor.fetchone()
        connection.close()
        content = bytearray(path.read_bytes())
        content[(page - 1) * 4096 : page * 4096] = bytes(4096)
        path.write_bytes(content)
        answer = browser.get("/")
        assert answer.status_code == 503
        assert "brought it back from the newest backup" in answer.content.decode()


def test_any_other_fault_is_still_ours(browser: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken() -> Firm:
        raise ZeroDivisionError

    monkeypatch.setattr(Firm, "current", broken)
    answer = browser.get("/")
    assert answer.status_code == 500
    assert "Something broke on our side" in answer.content.decode()


@pytest.mark.parametrize(
    ("number", "expected"),
    [(errno.ENOSPC, Trouble.FULL), (errno.EROFS, Trouble.READ_ONLY), (errno.ENOENT, None)],
)
def test_what_the_system_says_of_a_file_is_told_apart(number: int, expected: Trouble | None) -> None:
    assert trouble_of(OSError(number, os.strerror(number))) is expected


def test_a_locked_database_is_no_full_one(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(trouble, "is_full", lambda: True)
    locked = sqlite3.OperationalError("database is locked")
    locked.sqlite_errorcode = sqlite3.SQLITE_BUSY
    assert trouble_of(locked) is Trouble.BUSY
    assert trouble_of(sqlite3.ProgrammingError("closed")) is None
