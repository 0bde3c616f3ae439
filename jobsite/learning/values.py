"""The values that a suggestion is about, as the catalog and the firm have them: read and stored as text."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from catalog.measures.rates import parse_rate
from catalog.models import HOURS_COLUMNS, Component, Firm, Operation
from jobsite.learning.suggestions import RATE, RUN, TOGETHER, VISIT, WASTE
from jobsite.learning.waste import source_key

FIRM_COLUMNS = {RUN: "run_hours", VISIT: "visit_hours", TOGETHER: "hours_together_percent"}
RATE_COLUMNS = (*HOURS_COLUMNS, "source")


def values_of(kind: str, code: str, firm: Firm | None = None) -> dict[str, str]:
    """Return the values of an operation, a material's uses, or the firm; none where the row is gone."""
    if kind == RATE:
        row = Operation.objects.filter(code=code).first()
        return {column: getattr(row, column) for column in RATE_COLUMNS} if row else {}
    if kind == WASTE:
        uses = Component.objects.filter(material__code=code)
        wastes = {str(use.pk): _plain(use.waste_percent) for use in uses}
        return wastes | {source_key(str(use.pk)): use.source for use in uses}
    column = FIRM_COLUMNS[kind]
    return {column: _plain(getattr(firm or Firm.current(), column))}


def stands(made: Mapping[str, Any], now: Mapping[str, Any]) -> bool:
    """Tell whether values that were taken are still there; a source may have been worded anew."""
    return all(now.get(key) == value for key, value in made.items() if not key.endswith("source"))


def store(kind: str, code: str, values: Mapping[str, Any]) -> None:
    """Store values. Call in a transaction."""
    if kind == RATE:
        row = Operation.objects.get(code=code)
        for column in RATE_COLUMNS:
            setattr(row, column, values[column])
        for typed, hours in HOURS_COLUMNS.items():
            text = values[typed]
            setattr(row, hours, parse_rate(text, "hour", row.unit).per_unit if text else None)
        row.save()
    elif kind == WASTE:
        for use in Component.objects.filter(material__code=code):
            use.waste_percent = Decimal(values[str(use.pk)])
            use.source = values[source_key(str(use.pk))]
            use.save(update_fields=["waste_percent", "source"])
    else:
        firm, column = Firm.current(), FIRM_COLUMNS[kind]
        setattr(firm, column, Decimal(values[column]))
        firm.save(update_fields=[column])


def _plain(value: Decimal) -> str:
    return f"{Decimal(value).normalize():f}"
