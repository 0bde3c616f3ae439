"""Damaged pages: the site doesn't start on them, and verify_documents names them and reads on."""

import random
import sqlite3
from collections.abc import Sequence
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import connection, transaction
from pytest_django import DjangoAssertNumQueries

from estimating.database.damage import damaged_pages, unreadable_rows
from estimating.database.start import CannotStart, check_start
from tests.estimating.database.other_file import opened
from tests.estimating.database.site_process import NOT_STARTED, run
from tests.estimating.issuing import another_floor, issue_now, painted_floor

pytestmark = [pytest.mark.django_db(transaction=True), pytest.mark.sqlite]

PAGE = 4096
ISSUED = ["estimating_document", "estimating_documentevent"]


@pytest.fixture(scope="module")
def issued_once() -> list[bytes]:
    """What the first test that wants it has put in a database file."""
    return []


@pytest.fixture
def whole(issued_once: list[bytes], tmp_path: Path, transactional_db: None) -> Path:
    """A database file with five issued estimates."""
    path = tmp_path / "whole.sqlite3"
    if issued_once:
        path.write_bytes(issued_once[0])
        return path
    estimate = painted_floor()
    issue_now(estimate)
    for _ in range(4):
        issue_now(another_floor(estimate))
    with connection.cursor() as cursor:
        cursor.execute("VACUUM INTO %s", [f"{path}"])
    other = sqlite3.connect(path)
    other.execute("PRAGMA journal_mode=WAL")  # as the site leaves it
    other.close()
    issued_once.append(path.read_bytes())
    return path


def starts(path: Path) -> bool:
    try:
        with opened(path):
            check_start()
    except CannotStart:
        return False
    return True


def verified(path: Path) -> tuple[bool, str]:
    """Whether verify_documents calls the documents well, and what it says."""
    said = StringIO()
    try:
        with opened(path):
            call_command("verify_documents", stdout=said)
    except CommandError as error:
        return False, f"{said.getvalue()}{error}"
    return True, said.getvalue()


def damaged(whole: Path, pages: list[int], rng: random.Random) -> Path:
    """A copy of the database, in a folder of its own, in which bytes of some pages are flipped."""
    folder = whole.parent / f"damaged-{'-'.join(map(str, pages))}"
    folder.mkdir()
    content = bytearray(whole.read_bytes())
    for page in pages:
        for _ in range(24):
            content[(page - 1) * PAGE + rng.randrange(PAGE)] ^= rng.randrange(1, 256)
    path = folder / "benchrule.sqlite3"
    path.write_bytes(content)
    return path


def contents(path: Path, tables: Sequence[str] = ()) -> list[Any] | None:
    """The rows of tables, or of all; None where SQLite finds a fault in the file or a row can't be read."""
    other = sqlite3.connect(path)
    try:
        if other.execute("PRAGMA integrity_check").fetchall() != [("ok",)]:
            return None
        found = other.execute("SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name")
        names = tables or [name for (name,) in found]
        return [other.execute(f'SELECT * FROM "{name}"').fetchall() for name in names]
    except (sqlite3.Error, UnicodeDecodeError):
        return None
    finally:
        other.close()


@pytest.mark.parametrize("seed", range(12))
def test_nothing_is_called_well_that_is_not(whole: Path, seed: int) -> None:
    rng = random.Random(seed)
    path = damaged(whole, rng.sample(range(2, whole.stat().st_size // PAGE + 1), 6), rng)
    found = contents(path)
    if starts(path):
        assert found is not None
    else:
        assert found != contents(whole)
    well, _ = verified(path)
    assert not well or (found is not None and contents(path, ISSUED) == contents(whole, ISSUED))
    assert well or found != contents(whole)


def test_most_damage_is_found_at_the_start(whole: Path) -> None:
    """So that the test before is one of damage that can be found at all."""
    refused = 0
    for seed in range(12):
        rng = random.Random(seed)
        refused += not starts(damaged(whole, rng.sample(range(2, whole.stat().st_size // PAGE + 1), 6), rng))
    assert refused >= 6


def test_a_damaged_database_is_refused_in_a_sentence_and_left_as_it_is(whole: Path) -> None:
    path = damaged(whole, [leaf_of(whole, 1001)], random.Random(2))
    before = path.read_bytes()
    for command in (
        ("-c", "import config.wsgi"),
        ("manage.py", "demo", "--no-serve"),
    ):
        refused = run(path.parent, *command)
        assert refused.returncode in (1, NOT_STARTED)
        assert "newest backup" in refused.stderr
        assert path.read_bytes() == before
    well, said = verified(path)
    assert not well
    assert "newest backup" in said or "Differences found" in said
    assert path.read_bytes() == before


def leaf_of(whole: Path, number: int) -> int:
    """The page of the table of documents on which a row begins."""
    other = sqlite3.connect(whole)
    (key,) = other.execute("SELECT issue_key FROM estimating_document WHERE number = ?", [number]).fetchone()
    other.close()
    content, at = whole.read_bytes(), -1
    while (at := content.find(key.encode(), at + 1)) >= 0:
        if content[at - 40 : at].count(b"estimate") == 2:  # its kind and series stand before it
            return at // PAGE + 1
    raise LookupError(number)


def test_documents_around_a_damaged_page_are_still_checked(whole: Path) -> None:
    other = sqlite3.connect(whole)
    other.execute("DROP TRIGGER estimating_document_no_update")
    other.execute("PRAGMA secure_delete=ON")  # or old bytes of a moved row pass for it
    other.execute("UPDATE estimating_document SET basis = '{}' WHERE number IN (1001, 1005)")
    other.commit()
    other.close()
    page = leaf_of(whole, 1003)
    assert page not in (leaf_of(whole, 1001), leaf_of(whole, 1005))
    content = bytearray(whole.read_bytes())
    content[(page - 1) * PAGE : (page - 1) * PAGE + 8] = bytes(8)
    torn = whole.with_name("torn.sqlite3")
    torn.write_bytes(content)
    well, said = verified(torn)
    assert not well
    assert "estimating_document can't be read" in said
    assert "Estimate 1003: all of it can't be read" in said
    for number in (1001, 1005):
        assert f"Estimate {number}: what stands behind its sums was changed" in said


def test_tables_without_rows_are_left_out_by_one_query(
    django_assert_max_num_queries: DjangoAssertNumQueries,
) -> None:
    with transaction.atomic(), django_assert_max_num_queries(5):  # kinds, permissions, migrations have some
        assert list(unreadable_rows()) == []


def test_a_row_that_cannot_be_read_is_named_by_its_table() -> None:
    painted_floor()
    with connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_job SET name = CAST(x'ff' AS TEXT)")
    with transaction.atomic():
        assert list(damaged_pages()) == []
        (fault,) = unreadable_rows()
    assert fault.startswith("estimating_job can't be read (OperationalError: Could not decode")
