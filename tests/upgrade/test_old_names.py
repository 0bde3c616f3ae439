"""A database from before columns were renamed, with a row of every kind: each value is under its new name."""

import json
import sqlite3
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.db import IntegrityError, connection, transaction

from estimating.documents import write_protection
from estimating.verification.documents import faults
from jobsite.models import HoursWorked, ReceiptKept
from tests.upgrade.put_in import in_place_of_ours

# Made by the code of its day by `tests.every_row`: catalog 0012, estimating 0014, invoicing 0005.
FILE = Path(__file__).with_name("old_names.sqlite3.xz")
# By table, the columns as they are named now and as they were named before.
OLD_NAMES = {
    "catalog_assembly": {"deduct_labor": "deduct_labour"},
    "catalog_firm": {
        "license": "licence",
        "labor_rate": "labour_rate",
        "labor_rate_currency": "labour_rate_currency",
        "labor_markup": "labour_markup",
        "code_required_above": "code_above",
        "code_required_above_currency": "code_above_currency",
        "paper_size": "paper",
    },
    "estimating_estimate": {
        "labor_rate": "labour_rate",
        "labor_rate_currency": "labour_rate_currency",
        "labor_markup": "labour_markup",
    },
    "estimating_allowance": {"covers_labor": "covers_labour"},
    "estimating_job": {"requested_on": "asked_on"},
    "invoicing_billdraft": {"kind": "what"},
}

Row = dict[str, Any]


def rows_of(file: Path, table: str) -> list[Row]:
    database = sqlite3.connect(file)
    database.row_factory = sqlite3.Row
    found = [dict(row) for row in database.execute(f'SELECT * FROM "{table}" ORDER BY 1')]
    database.close()
    return found


@pytest.fixture
def old(tmp_path: Path) -> Iterator[dict[str, list[Row]]]:
    """The rows of the tables with old names, as they were; the database is brought up meanwhile."""
    with in_place_of_ours(FILE, tmp_path) as file:
        before = {table: rows_of(file, table) for table in OLD_NAMES}
        call_command("migrate", interactive=False, verbosity=0)
        yield before


@pytest.mark.one_database
@pytest.mark.django_db(transaction=True)
def test_rows_under_old_names_are_under_the_new_ones_and_what_is_issued_stays(
    old: dict[str, list[Row]],
) -> None:
    file = Path(connection.settings_dict["NAME"])
    for table, names in OLD_NAMES.items():
        now = rows_of(file, table)
        assert len(now) == len(old[table]) > 0, table
        for row, was in zip(now, old[table], strict=True):
            assert [row[name] for name in names] == [was[before] for before in names.values()]
    shipped = [json.loads(row["shipped"]) for row in rows_of(file, "catalog_assembly") if row["shipped"]]
    assert any("deduct_labor" in row for row in shipped)
    assert not any("deduct_labour" in row for row in shipped)

    assert write_protection.missing_triggers(connection) == []
    with pytest.raises(IntegrityError, match="What was issued stays as it is"), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_document SET number = number + 1")
    with transaction.atomic():
        assert list(faults()) == []
    # What changes billed by the hour go by has moved to the hours and receipts of all jobs.
    hours, receipt = HoursWorked.objects.get(), ReceiptKept.objects.get()
    assert (hours.job, hours.hours, hours.says) == (hours.document.job, Decimal("3.50"), "Sistered the joist")
    assert (receipt.job, receipt.document, receipt.total) == (hours.job, hours.document, Decimal("26.80"))
