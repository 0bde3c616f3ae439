"""Where a number of the catalog comes from: the value as stored, its formula, and what was shipped."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from django.db import models

from catalog.assemblies.formulas import FORMULAS, Formula
from catalog.assemblies.rate_messages import amount_in_words, rate_in_words
from catalog.measures.units import format_amount
from catalog.models import (
    Assembly,
    Component,
    Kit,
    ListedRow,
    Material,
    Operation,
    Package,
    ShippedRow,
    Supplier,
)
from catalog.starter.restore import field_group_of
from catalog.starter.shipped import ChangedValue, changes, codes_in


@dataclass(frozen=True)
class StoredValue:
    """A value as it is stored, and what it comes to."""

    label: str
    value: str
    comes_to: str = ""


@dataclass(frozen=True)
class StoredInput:
    """An input of a component's formula: the value in use, and where its default comes from."""

    label: str
    value: str
    source: str
    is_default: bool


@dataclass(frozen=True)
class ChangedGroup:
    """Values that the firm changed and that are restored together.

    `key` names one of them; it is empty where they can't be restored.
    """

    key: str
    changes: tuple[ChangedValue, ...]


@dataclass(frozen=True)
class RowChanges:
    """What the firm changed of a row. `shipped` is false for a row that is altogether its own."""

    row: ShippedRow
    shipped: bool
    groups: tuple[ChangedGroup, ...]

    @property
    def restore_url(self) -> str:
        """The name of the address that restores values of this row.

        Empty for a kit, which is made again as quickly.
        """
        return "" if isinstance(self.row, Kit) else f"{self.row._meta.verbose_name_plural}-put-back"

    @property
    def page(self) -> tuple[str, int]:
        """The name of the address of the row's own page, and the primary key in it."""
        match self.row:
            case Package():
                return "material", self.row.material_id
            case Material():
                return "material", self.row.pk
            case Operation():
                return "operation", self.row.pk
            case Assembly():
                return "assembly", self.row.pk
            case Kit():
                return "kit", self.row.pk

    @property
    def labels(self) -> tuple[str, ...]:
        """The words for the values that the firm changed, each once."""
        labels = (change.label for group in self.groups for change in group.changes)
        return tuple(dict.fromkeys(labels))


def row_changes(row: ShippedRow, only: str = "") -> RowChanges:
    """Return what the firm changed of a row, group by group.

    `only` is the key of a value whose group alone is wanted.
    """
    groups = []
    changed = changes(row, _names(codes_in(row))) if row.shipped is not None else ()
    for group, members in groupby(changed, key=lambda change: _group(row, change)):
        if not only or only in group:
            groups.append(ChangedGroup(group[0] if group else "", tuple(members)))
    return RowChanges(row, row.shipped is not None, tuple(groups))


def _group(row: ShippedRow, change: ChangedValue) -> tuple[str, ...]:
    return field_group_of(row, change.key) if change.key else ()


def material_changes(material: Material) -> list[RowChanges]:
    """Return what the firm changed of a material and of each package that isn't retired."""
    packages = (package for package in material.packages.all() if not package.retired)
    return [row_changes(material), *(row_changes(package) for package in packages)]


def changed_rows(rows: Iterable[RowChanges]) -> list[RowChanges]:
    """Return those rows that the firm changed, or that are its own."""
    return [row for row in rows if row.groups or not row.shipped]


def change_label(row: ListedRow | Package) -> str:
    """Return what the firm has made of a row in a few words; empty where it is as it was shipped.

    This reads the parts of the row; the packages of a material are part of it.
    """
    if isinstance(row, Supplier):
        return ""
    if row.shipped is None:
        return "your own"
    packages = row.packages.all() if isinstance(row, Material) else ()
    if changes(row) or any(change_label(package) for package in packages if not package.retired):
        return "changed by you"
    return ""


def with_parts(assemblies: models.QuerySet[Assembly]) -> models.QuerySet[Assembly]:
    """Return assemblies with all that is compared with what was shipped, in a fixed number of queries."""
    return assemblies.select_related("board").prefetch_related(
        "components__material",
        "components__operation",
        "components__part",
        "goes_with__companion",
        "waits_for__earlier",
    )


def operation_values(operation: Operation) -> tuple[StoredValue, ...]:
    """Return the hours of an operation, each with what it comes to."""
    rates = (
        ("Hours, best", operation.low_typed),
        ("Hours, likely", operation.rate_typed),
        ("Hours, worst", operation.high_typed),
    )
    fixed = (
        ("Set-up, each time", operation.set_up_hours),
        ("To dry or set, before the next step", operation.wait_hours),
    )
    return (
        *(
            StoredValue(label, typed, rate_in_words(typed, "hour", operation.unit))
            for label, typed in rates
            if typed
        ),
        *(StoredValue(label, format_amount(Fraction(hours), "hour")) for label, hours in fixed if hours),
    )


def component_values(component: Component) -> tuple[StoredValue, ...]:
    """Return how much of what it uses a component takes."""
    measure, unit = component.scaling_measure, component.uses.unit
    counted = measure.unit == "each"
    meaning = measure.meaning if counted else f"{measure.meaning}, in {measure.unit}"
    values = [StoredValue("Priced by", measure.label, meaning)]
    is_said_already = not component.rate_typed or (counted and unit == "each")
    amount = "" if is_said_already else amount_in_words(component.rate, unit, measure.unit)
    values.append(StoredValue("How much", component.rate_typed or "as much as is measured", amount))
    if component.times != 1:
        values.append(StoredValue("Times", f"{component.times}"))
    if component.waste_percent:
        values.append(StoredValue("Waste", f"{component.waste_percent.normalize():f}%"))
    if component.set_up:
        fixed = format_amount(Fraction(component.set_up), "hour" if component.operation_id else unit)
        values.append(StoredValue("Fixed amount", fixed, component.get_set_up_per_display()))
    return tuple(values)


def formula_inputs(component: Component) -> tuple[Formula, tuple[StoredInput, ...]] | None:
    """Return the formula of a component with each of its inputs; None where its rate is typed."""
    formula = FORMULAS.get(component.formula)
    if formula is None:
        return None
    inputs = []
    for known in formula.inputs:
        value = component.formula_inputs.get(known.name) or known.default
        words = f"{value} {known.unit}".rstrip() if value else "left out"
        inputs.append(StoredInput(known.label, words, known.source, value == known.default))
    return formula, tuple(inputs)


def _names(codes: Iterable[str]) -> dict[str, str]:
    """Return what the rows with these codes are called. This costs three queries."""
    codes = list(codes)
    return {
        code: name
        for model in (Assembly, Material, Operation)
        for code, name in model._default_manager.filter(code__in=codes).values_list("code", "name")
    }
