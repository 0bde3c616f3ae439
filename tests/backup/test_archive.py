"""A backup holds one moment of everything, and comes back whole or not at all."""

import random
import subprocess
import tarfile
import threading
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.db import connection, transaction

from backup.archive import CannotBackUp, unpack, write_backup
from backup.database_copy import CannotCopy, bring_back_postgres, scratch_database
from backup.drill import drill
from backup.manifest import UnreadableBackup, read_manifest
from estimating.models import Client
from tests.estimating.issuing import issue_now, painted_floor

AT = datetime(2026, 11, 28, 3, 0, tzinfo=UTC)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with a key, a mail and a file."""
    folder = tmp_path / "data"
    (folder / "mail").mkdir(parents=True)
    (folder / "files" / "deep").mkdir(parents=True)
    (folder / "secret_key").write_text("not to be guessed")
    (folder / "mail" / "1.log").write_text("To: okonjo@example.com")
    (folder / "files" / "deep" / "card.txt").write_text("permit 14")
    return folder


@pytest.mark.django_db(transaction=True)
def test_what_was_issued_comes_back_counted_and_verified(data: Path, tmp_path: Path) -> None:
    issue_now(painted_floor())
    file = tmp_path / "one.backup"
    manifest = write_backup(file, data, AT)
    assert manifest.rows["estimating_document"] == 1
    assert drill(file) == ()
    unpack(file, tmp_path / "back")
    assert (tmp_path / "back" / "secret_key").read_text() == "not to be guessed"
    assert (tmp_path / "back" / "files" / "deep" / "card.txt").read_text() == "permit 14"
    assert (tmp_path / "back" / "mail" / "1.log").exists()


@pytest.mark.django_db(transaction=True)
def test_a_backup_while_eight_write_is_of_one_moment(data: Path, tmp_path: Path) -> None:
    stop = threading.Event()

    def write(name: str) -> None:
        number = 0
        while not stop.is_set():
            with transaction.atomic():  # two rows or none
                Client.objects.create(name=f"{name} {number}", phone="first")
                Client.objects.create(name=f"{name} {number}", phone="second")
            number += 1
        connection.close()

    writers = [threading.Thread(target=write, args=(f"writer {number}",)) for number in range(8)]
    for writer in writers:
        writer.start()
    try:
        manifests = [write_backup(tmp_path / f"{number}.backup", data, AT) for number in range(3)]
    finally:
        stop.set()
        for writer in writers:
            writer.join()
    counts = [manifest.rows["estimating_client"] for manifest in manifests]
    assert counts == sorted(counts)
    assert counts[-1] > counts[0]
    assert all(count % 2 == 0 for count in counts)
    assert drill(tmp_path / "1.backup") == ()


@pytest.mark.one_database
@pytest.mark.django_db(transaction=True)
def test_a_damaged_backup_brings_back_nothing(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "one.backup"
    write_backup(file, data, AT)
    whole = file.read_bytes()
    rng = random.Random(28)
    for number in range(12):
        place = rng.randrange(20, len(whole))
        broken = tmp_path / f"broken-{number}.backup"
        broken.write_bytes(whole[:place] + bytes([whole[place] ^ 0x10]) + whole[place + 1 :])
        with pytest.raises(UnreadableBackup):
            unpack(broken, tmp_path / "back")
    (tmp_path / "half.backup").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(UnreadableBackup):
        unpack(tmp_path / "half.backup", tmp_path / "back")
    assert not (tmp_path / "back").exists()
    assert not list(tmp_path.glob(".restore-*"))


@pytest.mark.django_db(transaction=True)
def test_neither_a_file_nor_a_folder_is_overwritten(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "one.backup"
    write_backup(file, data, AT)
    before = file.read_bytes()
    with pytest.raises(CannotBackUp, match="there already"):
        write_backup(file, data, AT)
    assert file.read_bytes() == before
    with pytest.raises(UnreadableBackup, match="isn't empty"):
        unpack(file, data)


@pytest.mark.django_db(transaction=True)
def test_it_opens_without_this_program(data: Path, tmp_path: Path) -> None:
    file = tmp_path / "one.backup"
    write_backup(file, data, AT)
    subprocess.run(["tar", "-xzf", file, "-C", tmp_path], check=True)
    assert read_manifest((tmp_path / "manifest.json").read_text()).made_at == AT


@pytest.mark.django_db(transaction=True)
@pytest.mark.sqlite
def test_a_drill_names_rows_that_are_missing(data: Path, tmp_path: Path) -> None:
    issue_now(painted_floor())
    file, forged = tmp_path / "one.backup", tmp_path / "forged.backup"
    write_backup(file, data, AT)
    folder = tmp_path / "unpacked"
    folder.mkdir()
    with tarfile.open(file) as tar:
        tar.extractall(folder, filter="data")
    manifest = (folder / "manifest.json").read_text()
    (folder / "manifest.json").write_text(manifest.replace('"estimating_job": 1', '"estimating_job": 2'))
    with tarfile.open(forged, "w:gz") as tar:
        for name in ("manifest.json", *sorted(path.name for path in folder.iterdir() if path.is_file())):
            tar.add(folder / name, name)
        for name in ("mail/1.log", "files/deep/card.txt"):
            tar.add(folder / name, name)
    assert drill(forged) == ("estimating_job has 1 rows and not 2.",)


def test_a_backup_of_a_newer_program_is_left_to_it() -> None:
    with pytest.raises(UnreadableBackup, match="newer Benchrule"):
        read_manifest('{"format": 2}')
    with pytest.raises(UnreadableBackup, match="says nothing readable"):
        read_manifest("[]")


@pytest.mark.django_db(transaction=True)
@pytest.mark.postgresql
def test_postgres_rows_go_only_into_an_empty_database(data: Path, tmp_path: Path) -> None:
    issue_now(painted_floor())
    file = tmp_path / "one.backup"
    write_backup(file, data, AT)
    unpack(file, tmp_path / "back")
    with pytest.raises(CannotCopy, match="isn't empty"):
        bring_back_postgres(tmp_path / "back" / "benchrule.pgdump")
    with scratch_database(tmp_path / "back" / "benchrule.pgdump") as (_, rows):
        assert rows["estimating_document"] == 1


@pytest.mark.django_db(transaction=True)
def test_it_comes_back_on_a_python_without_filters_for_archives(
    data: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Debian 12 has Python 3.11.2; they came with 3.11.4."""
    for name in ("extract", "extractall"):
        usual = getattr(tarfile.TarFile, name)

        def older(*args: Any, usual: Callable[..., None] = usual, **options: Any) -> None:
            if "filter" in options:
                raise TypeError("got an unexpected keyword argument 'filter'")
            usual(*args, **options)

        monkeypatch.setattr(tarfile.TarFile, name, older)
    write_backup(tmp_path / "one.backup", data, AT)
    unpack(tmp_path / "one.backup", tmp_path / "back")
    assert (tmp_path / "back" / "secret_key").stat().st_mode & 0o777 == 0o600
