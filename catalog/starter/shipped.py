"""What the starting catalog shipped in a row, compared with what the firm has made of it.

A row keeps, in plain JSON, the values that it was last shipped with; a row without them is the firm's own.
Values that are right only together form a group: they follow a newer catalog together or not at all.
"""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models
from djmoney.money import Money

from catalog.assemblies.formulas import FORMULAS
from catalog.measures.lengths import format_length
from catalog.measures.room_measures import MEASURES
from catalog.models import (
    Assembly,
    Companion,
    Component,
    Kit,
    KitLine,
    Material,
    Operation,
    Package,
    Precedence,
    ShippedRow,
)
from catalog.money.amounts import format_price
from catalog.starter.own_jobs import OWN_FIGURES

Part = Package | Component | Companion | Precedence | KitLine
Values = dict[str, Any]
Parts = Mapping[str, Sequence[Part]]

FIELD_GROUPS: Mapping[type[ShippedRow], tuple[tuple[str, ...], ...]] = {
    Material: (
        ("name",),
        ("unit",),
        ("kind",),
        ("taxable",),
        ("caution",),
        ("note",),
        ("source",),
        ("sheet_length_nm", "sheet_width_nm", "thickness_nm"),
        ("sizes_of",),
        ("sold_in_sticks", "stick_width_nm"),
    ),
    Package: (("size",), ("price", "priced_on")),
    Operation: (
        ("name",),
        ("rate_typed", "unit", "low_typed", "high_typed"),
        ("set_up_hours",),
        ("wait_hours",),
        ("surface",),
        ("over_days",),
        ("source",),
    ),
    Assembly: (
        ("name",),
        ("phase",),
        ("purpose",),
        ("components", "measure", "board"),
        ("tile_joint_nm",),
        ("tile_offset",),
        ("tile_pattern",),
        ("plan_measure",),
        ("scope",),
        ("caution",),
        ("deduct_material",),
        ("deduct_labor",),
        ("source",),
        ("companions",),
        ("after",),
    ),
    Kit: (("name",), ("assemblies",)),
}
# The lists of parts that a row has besides its columns: the key of each, and the relation that holds it.
PARTS: Mapping[type[ShippedRow], Mapping[str, str]] = {
    Material: {"packages": "packages"},
    Operation: {},
    Package: {},
    Assembly: {"components": "components", "companions": "goes_with", "after": "waits_for"},
    Kit: {"assemblies": "lines"},
}
# The column of a part that names the other assembly it is about.
POINTS_TO: Mapping[type[models.Model], str] = {
    Companion: "companion",
    Precedence: "earlier",
    KitLine: "assembly",
}
NO_NAMES: Mapping[str, str] = {}
_LABELS = {
    "components": "what it is made of",
    "companions": "what goes with it",
    "after": "what must be done before it",
    "assemblies": "its assemblies",
}


@dataclass(frozen=True)
class ChangedValue:
    """A value that the firm has in place of the shipped one, both in words; empty where there is none."""

    label: str
    shipped: str
    own: str
    key: str = field(default="", compare=False)  # of the value; empty where it can't be restored


def changes(row: ShippedRow, names: Mapping[str, str] = NO_NAMES) -> tuple[ChangedValue, ...]:
    """Return what the firm changed of a shipped row; nothing for a row that is the firm's own.

    `names` says what codes of parts are called. This reads the row's parts from the database.
    """
    if row.shipped is None:
        return ()
    shipped, own = shipped_values(row), values_of(row)
    changed: list[ChangedValue] = []
    for key in (key for group in FIELD_GROUPS[type(row)] for key in group):
        if key in shipped and own[key] not in (shipped[key], _beside_own_figures(key, shipped[key])):
            changed += _changes_of(label_of(type(row), key), key, shipped[key], own[key], names)
    present = own.get("packages", ())
    for package in shipped.get("packages", ()):
        if package not in present:
            name, supplier = package
            changed.append(ChangedValue("package", f"{name} of {supplier}", ""))
    return tuple(changed)


def shipped_values(row: ShippedRow) -> Values:
    """Return the values that a row was last shipped with; none for a row that is the firm's own."""
    values: Values = row.shipped or {}
    return values


def values_of(row: ShippedRow, parts: Parts | None = None) -> Values:
    """Return all that makes a row what it is, in plain JSON.

    `parts` are given where they aren't in the database yet.
    """
    parts = own_parts(row) if parts is None else parts
    lists: Values = {key: [part_values(part) for part in of_key] for key, of_key in parts.items()}
    columns = [key for group in FIELD_GROUPS[type(row)] for key in group if key not in lists]
    values = {key: _plain(getattr(row, key)) for key in columns} | lists
    if isinstance(row, Package):
        values["identity"] = identity(row)
    return values


def own_parts(row: ShippedRow) -> Parts:
    """Return the parts of a row that is in the database."""
    return {key: list(getattr(row, relation).all()) for key, relation in PARTS[type(row)].items()}


def identity(package: Package) -> list[str]:
    """Return what tells a package from the others of its material: its name and supplier, as shipped."""
    if package.shipped:
        as_shipped: list[str] = package.shipped["identity"]
        return as_shipped
    return [package.name, package.supplier.name if package.supplier else ""]


def price_is_shipped(package: Package) -> bool:
    """Tell whether the price is still the invented one that came with the catalog, on the date it had."""
    shipped = shipped_values(package)
    return all(shipped.get(key, "") == _plain(getattr(package, key)) for key in ("price", "priced_on"))


def codes_in(row: ShippedRow) -> set[str]:
    """Return the codes of the parts that a row has and of those that it was shipped with."""
    both = (values_of(row), shipped_values(row))
    lists = (values.get(key, ()) for values in both for key in PARTS[type(row)] if key != "packages")
    return {part["uses"] for parts in lists for part in parts}


def is_own(key: str, row: ShippedRow, current: Values) -> bool:
    """Tell whether the firm changed this value, whose current values are given.

    A value that an older catalog didn't ship counts as changed once it is filled in.
    """
    shipped = shipped_values(row)
    return bool(current[key] != shipped[key]) if key in shipped else bool(current[key])


def _beside_own_figures(key: str, shipped: Any) -> Any:
    """Return a shipped value as it stands beside the firm's own numbers: a source says that they are own."""
    return OWN_FIGURES + shipped if key == "source" else shipped


def label_of(model: type[ShippedRow], key: str) -> str:
    """Return the words for a value of a row."""
    if key in _LABELS:
        return _LABELS[key]
    column = model._meta.get_field(key)
    assert isinstance(column, models.Field)
    return str(column.verbose_name)


def part_values(part: Part) -> Any:
    """Return all that makes a part of a row what it is, in plain JSON."""
    if isinstance(part, Package):
        return identity(part)
    if isinstance(part, Component):
        columns = ("scales_with", "formula", "times", "waste_percent", "set_up", "set_up_per", "source")
        rate = {"inputs": dict(part.formula_inputs)} if part.formula else {"rate": part.rate_typed}
        kind = next(key for key in ("material", "operation", "part") if getattr(part, key) is not None)
        values = {key: _plain(getattr(part, key)) for key in columns}
        return {"uses": part.uses.code, "as": kind, **values, **rate}
    return {"uses": getattr(part, POINTS_TO[type(part)]).code, "reason": getattr(part, "reason", "")}


def _plain(value: Any) -> Any:
    """Return the value of a column in plain JSON."""
    match value:
        case Money():
            return _plain(value.amount)
        case Decimal():
            return f"{value.normalize():f}"
        case date():
            return value.isoformat()
        case Material():
            return value.code
    return value


def _changes_of(
    label: str, key: str, shipped: Any, own: Any, names: Mapping[str, str]
) -> Iterator[ChangedValue]:
    if not isinstance(shipped, list):
        yield ChangedValue(label, _in_words(key, shipped), _in_words(key, own), key)
        return
    before, after = _by_use(shipped, names), _by_use(own, names)
    differing = [use for use in before | after if before.get(use) != after.get(use)]
    for use in differing:
        yield ChangedValue(f"{label}: {use}", before.get(use, ""), after.get(use, ""), key)
    if not differing:
        yield ChangedValue(label, "in the order supplied", "in another order", key)


def _by_use(parts: Iterable[Values], names: Mapping[str, str]) -> dict[str, str]:
    """Return the words for each part by the name of what it uses; a repeated name is numbered."""
    seen: Counter[str] = Counter()
    words: dict[str, str] = {}
    for part in parts:
        seen[part["uses"]] += 1
        nth, name = seen[part["uses"]], names.get(part["uses"], part["uses"])
        words[name if nth == 1 else f"{name} ({nth})"] = _part_in_words(part)
    return words


def _part_in_words(part: Values) -> str:
    words = [part.get("reason", ""), part.get("rate", ""), *_formula_in_words(part)]
    if part.get("scales_with"):
        words.append(f"by {MEASURES[part['scales_with']].label.lower()}")
    if part.get("times", 1) != 1:
        words.append(f"{part['times']} times")
    if part.get("waste_percent", "0") != "0":
        words.append(f"{part['waste_percent']}% waste")
    if part.get("set_up", "0") != "0":
        words.append(f"plus {part['set_up']} for each {part['set_up_per']}")
    words.append(part.get("source", ""))
    return "; ".join(text for text in words if text) or "as it is measured"


def _formula_in_words(part: Values) -> Iterator[str]:
    if formula := FORMULAS.get(part.get("formula", "")):
        yield formula.label
        for known in formula.inputs:
            if value := part["inputs"].get(known.name):
                yield f"{known.label} {value} {known.unit}".rstrip()


def _in_words(key: str, value: Any) -> str:
    if value is None or value == "":
        return ""
    if key.endswith("_nm"):
        return format_length(value)
    if key == "price":
        return format_price(Decimal(value))
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)
