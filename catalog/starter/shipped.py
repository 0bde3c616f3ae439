"""What the starting catalog shipped in a row, beside what the firm has made of it.

A row keeps the values that it was last shipped with, in plain JSON; a row without them is the firm's own.
Values that are right only together make one fact: they follow a newer catalog together or not at all.
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
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import format_length
from catalog.models import (
    Assembly,
    Bundle,
    BundleLine,
    Companion,
    Component,
    Material,
    Operation,
    Package,
    Precedence,
)
from catalog.money.amounts import format_price

Values = dict[str, Any]
Parts = Mapping[str, Sequence[models.Model]]

FACTS: Mapping[type[models.Model], tuple[tuple[str, ...], ...]] = {
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
        ("source",),
    ),
    Assembly: (
        ("name",),
        ("phase",),
        ("purpose",),
        ("components", "measure", "board"),
        ("tile_joint_nm",),
        ("tile_offset",),
        ("scope",),
        ("caution",),
        ("deduct_material",),
        ("deduct_labor",),
        ("source",),
        ("companions",),
        ("after",),
    ),
    Bundle: (("name",), ("assemblies",)),
}
# What a row consists of besides its columns: the name of the value, and of the relation that holds it.
PARTS: Mapping[type[models.Model], Mapping[str, str]] = {
    Material: {"packages": "packages"},
    Operation: {},
    Package: {},
    Assembly: {"components": "components", "companions": "goes_with", "after": "waits_for"},
    Bundle: {"assemblies": "lines"},
}
# The other assembly that a part is about.
POINTS_TO: Mapping[type[models.Model], str] = {
    Companion: "companion",
    Precedence: "earlier",
    BundleLine: "assembly",
}
# How a source begins that was left as it was shipped beside figures of the firm's own.
OWN_FIGURES = "Your own figures. Those shipped came from: "
NO_NAMES: Mapping[str, str] = {}
_LABELS = {
    "components": "what it is made of",
    "companions": "what goes with it",
    "after": "what must be done before it",
    "assemblies": "its assemblies",
}


@dataclass(frozen=True)
class Change:
    """A value that the firm has in place of the shipped one, both in words; empty where there is none."""

    label: str
    shipped: str
    own: str
    key: str = field(default="", compare=False)  # of the value; empty where it can't be put back


def changes(row: models.Model, names: Mapping[str, str] = NO_NAMES) -> tuple[Change, ...]:
    """What the firm changed of a shipped row (Material, Package, Operation, Assembly or Bundle).

    Nothing for a row that is the firm's own. `names` says what codes of parts are called. Reads the row's
    parts from the database.
    """
    if row.shipped is None:
        return ()
    own = values_of(row)
    found: list[Change] = []
    for key in (key for fact in FACTS[type(row)] for key in fact):
        if key in row.shipped and own[key] not in (row.shipped[key], _of_own_figures(key, row)):
            found += _changes_of(label_of(type(row), key), key, row.shipped[key], own[key], names)
    here = [identity(package) for package in own_parts(row).get("packages", ())]
    gone = [each for each in row.shipped.get("packages", ()) if each not in here]
    return (*found, *(Change("package", f"{name} of {supplier}", "") for name, supplier in gone))


def values_of(row: models.Model, parts: Parts | None = None) -> Values:
    """All that makes a row what it is, in plain JSON; `parts` where they aren't in the database yet."""
    parts = own_parts(row) if parts is None else parts
    lists = {key: [part_values(each) for each in each_list] for key, each_list in parts.items()}
    columns = {key for fact in FACTS[type(row)] for key in fact} - lists.keys()
    known = {key: _plain(getattr(row, key)) for key in columns} | lists
    if isinstance(row, Package):
        known["identity"] = identity(row)
    return known


def own_parts(row: models.Model) -> Parts:
    """The parts of a row that is in the database."""
    return {key: list(getattr(row, relation).all()) for key, relation in PARTS[type(row)].items()}


def identity(package: Package) -> list[str]:
    """What tells a shipped package from the others of its material: its name and supplier as shipped."""
    if package.shipped:
        return package.shipped["identity"]
    return [package.name, package.supplier.name if package.supplier else ""]


def price_is_shipped(package: Package) -> bool:
    """Whether the price is still the invented one that came with the catalog, on the day that it named."""
    before = package.shipped or {}
    now = {key: _plain(getattr(package, key)) for key in ("price", "priced_on")}
    return all(before.get(key, "") == value for key, value in now.items())


def codes_in(row: models.Model) -> set[str]:
    """Codes of the parts that a row has and was shipped with."""
    both = (values_of(row), row.shipped or {})
    lists = (values.get(key, ()) for values in both for key in PARTS[type(row)] if key != "packages")
    return {part["uses"] for parts in lists for part in parts}


def is_own(key: str, row: models.Model, current: Values) -> bool:
    """Whether the firm changed this value; a value that an older catalog didn't ship, once it is filled."""
    return current[key] != row.shipped[key] if key in row.shipped else bool(current[key])


def _of_own_figures(key: str, row: models.Model) -> Any:
    """What the source says that goes with the firm's own figures: no change beside theirs."""
    return OWN_FIGURES + row.shipped[key] if key == "source" else row.shipped[key]


def label_of(model: type[models.Model], key: str) -> str:
    return _LABELS.get(key) or str(model._meta.get_field(key).verbose_name)


def part_values(part: models.Model) -> Any:
    """All that makes a part of a row what it is, in plain JSON."""
    if isinstance(part, Package):
        return identity(part)
    if isinstance(part, Component):
        columns = ("scales_with", "formula", "times", "waste_percent", "set_up", "set_up_per", "source")
        rate = {"inputs": dict(part.formula_inputs)} if part.formula else {"rate": part.rate_typed}
        kind = next(key for key in ("material", "operation", "part") if getattr(part, key) is not None)
        known = {key: _plain(getattr(part, key)) for key in columns}
        return {"uses": part.uses.code, "as": kind, **known, **rate}
    return {"uses": getattr(part, POINTS_TO[type(part)]).code, "reason": getattr(part, "reason", "")}


def _plain(value: Any) -> Any:
    match value:
        case Money():
            return _plain(value.amount)
        case Decimal():
            return f"{value.normalize():f}"
        case date():
            return value.isoformat()
        case models.Model():
            return value.code
    return value


def _changes_of(label: str, key: str, shipped: Any, own: Any, names: Mapping[str, str]) -> Iterator[Change]:
    if not isinstance(shipped, list):
        yield Change(label, _in_words(key, shipped), _in_words(key, own), key)
        return
    before, after = _by_use(shipped, names), _by_use(own, names)
    differing = [use for use in before | after if before.get(use) != after.get(use)]
    for use in differing:
        yield Change(f"{label}: {use}", before.get(use, ""), after.get(use, ""), key)
    if not differing:
        yield Change(label, "in the order shipped", "in another order", key)


def _by_use(parts: Iterable[Values], names: Mapping[str, str]) -> dict[str, str]:
    """Each part in words; what is used more than once is numbered."""
    seen: Counter[str] = Counter()
    found = {}
    for part in parts:
        seen[part["uses"]] += 1
        nth, name = seen[part["uses"]], names.get(part["uses"], part["uses"])
        found[name if nth == 1 else f"{name} ({nth})"] = _part_in_words(part)
    return found


def _part_in_words(part: Values) -> str:
    said = [part.get("reason", ""), part.get("rate", ""), *_formula_in_words(part)]
    if part.get("scales_with"):
        said.append(f"by {MEASURES[part['scales_with']].label.lower()}")
    if part.get("times", 1) != 1:
        said.append(f"{part['times']} times")
    if part.get("waste_percent", "0") != "0":
        said.append(f"{part['waste_percent']}% waste")
    if part.get("set_up", "0") != "0":
        said.append(f"plus {part['set_up']} for each {part['set_up_per']}")
    said.append(part.get("source", ""))
    return "; ".join(text for text in said if text) or "as it is measured"


def _formula_in_words(part: Values) -> Iterator[str]:
    if formula := FORMULAS.get(part.get("formula", "")):
        yield formula.label
        for each in formula.inputs:
            if value := part["inputs"].get(each.name):
                yield f"{each.label} {value} {each.unit}".rstrip()


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
