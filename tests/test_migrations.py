"""The migrations that rename columns: rows of every kind go back to the old names and forward again."""

import json
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.core.management import call_command
from django.db import IntegrityError, connection, models
from django.db.migrations.executor import MigrationExecutor

from estimating.documents import write_protection
from estimating.verification.documents import faults
from jobsite.models import HoursWorked, ReceiptKept
from tests.every_row import every_kind_of_row

pytestmark = pytest.mark.django_db(transaction=True)

APPS = ("catalog", "estimating", "invoicing")
BEFORE = [
    ("catalog", "0012_tax_rates_of_four_decimals"),
    ("estimating", "0014_tax_rates_of_four_decimals"),
    ("invoicing", "0005_credit_put_on_an_invoice"),
]
AFTER = [
    ("catalog", "0013_american_names"),
    ("estimating", "0015_american_names"),
    ("invoicing", "0006_kind_of_bill"),
]
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


def our_models() -> list[type[models.Model]]:
    """Every model of the three apps, those behind many-to-many columns too."""
    return [model for app in APPS for model in apps.get_app_config(app).get_models(include_auto_created=True)]


def read_rows(table: str) -> list[Row]:
    """The rows of a table by the names of its columns; JSON of an assembly's shipped values is parsed."""
    key = "series" if table == "estimating_counter" else "id"
    with connection.cursor() as cursor:
        cursor.execute(f'SELECT * FROM "{table}" ORDER BY "{key}"')
        names = [column[0] for column in cursor.description]
        return [
            {name: _plain(table, name, value) for name, value in zip(names, row, strict=True)}
            for row in cursor.fetchall()
        ]


def _plain(table: str, column: str, value: Any) -> Any:
    if (table, column) == ("catalog_assembly", "shipped") and isinstance(value, str):
        return json.loads(value)
    return bytes(value) if isinstance(value, memoryview) else value


def all_rows() -> dict[str, list[Row]]:
    """The rows of the tables that there are: later ones aren't there yet."""
    there = connection.introspection.table_names()
    tables = [model._meta.db_table for model in our_models()]
    return {table: read_rows(table) for table in tables if table in there}


def migrate_to(states: list[tuple[str, str]]) -> None:
    """All apps in one plan: the state of the models is drawn once for it, and that takes most of the time."""
    MigrationExecutor(connection).migrate(states)


def under_old_names(table: str, rows: list[Row]) -> list[Row]:
    """Rows of now as they must have been before."""
    names = OLD_NAMES.get(table, {})
    renamed = [{names.get(name, name): value for name, value in row.items()} for row in rows]
    if table == "catalog_assembly":
        for row in renamed:
            row["shipped"] = row["shipped"] and {
                names.get(name, name): value for name, value in row["shipped"].items()
            }
    return renamed


@pytest.fixture
def rows() -> Iterator[dict[str, list[Row]]]:
    """The rows of all tables, of each at least one; the database comes forward again at the end."""
    every_kind_of_row()
    migrate_to(AFTER)
    yield all_rows()
    call_command("migrate", verbosity=0, skip_checks=True)


def test_rows_of_every_kind_go_back_to_the_old_columns_and_forward_again(
    rows: dict[str, list[Row]],
) -> None:
    assert [table for table, found in rows.items() if not found] == []
    assert any("deduct_labor" in (row["shipped"] or ()) for row in rows["catalog_assembly"])

    migrate_to(BEFORE)
    for table, found in rows.items():
        assert read_rows(table) == under_old_names(table, found), table
    for table, names in OLD_NAMES.items():
        assert set(names.values()) <= set(read_rows(table)[0]), table
    assert write_protection.missing_triggers(connection) == []

    migrate_to(AFTER)
    assert all_rows() == rows
    call_command("migrate", verbosity=0, skip_checks=True)
    assert write_protection.missing_triggers(connection) == []
    with pytest.raises(IntegrityError, match="What was issued stays as it is"), connection.cursor() as cursor:
        cursor.execute("UPDATE estimating_document SET number = number + 1")
    assert list(faults()) == []
    # What changes billed by the hour go by has moved to the hours and receipts of all jobs.
    hours, receipt = HoursWorked.objects.get(), ReceiptKept.objects.get()
    assert (hours.job, hours.hours, hours.says) == (hours.document.job, Decimal("3.50"), "Sistered the joist")
    assert (receipt.job, receipt.document, receipt.total) == (hours.job, hours.document, Decimal("26.80"))
