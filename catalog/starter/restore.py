"""Restoring values that the starting catalog shipped, one group of a row's values at a time."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any, TypeVar

from django.db import models, transaction

from catalog.assemblies.component_rates import formula_rate, typed_rate
from catalog.assemblies.formula_inputs import UnusableInput
from catalog.fields.model import MoneyField
from catalog.measures.lengths import half_up
from catalog.measures.rates import UnreadableRate, parse_rate
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import UnfitUnits, convert
from catalog.models import (
    HOURS_COLUMNS,
    Assembly,
    Component,
    Kit,
    Material,
    Operation,
    Package,
    ShippedRow,
)
from catalog.starter.cycles import stored_loops
from catalog.starter.shipped import FIELD_GROUPS, PARTS, POINTS_TO, shipped_values
from catalog.starter.source_labels import labor_source

Coded = TypeVar("Coded", bound=Material | Operation | Assembly)
_USED_AS: Mapping[str, type[Material] | type[Operation] | type[Assembly]] = {
    "material": Material,
    "operation": Operation,
    "part": Assembly,
}


class NotRestored(ValueError):
    """A shipped value doesn't fit what the firm has now; the message is a plain sentence."""


def field_group_of(row: ShippedRow, key: str) -> tuple[str, ...]:
    """Return the keys of the values that are right only together with this one.

    Raises KeyError where the row has no such value, or it wasn't shipped.
    """
    groups = [group for group in FIELD_GROUPS[type(row)] if key in group]
    if not groups or key not in shipped_values(row):
        raise KeyError(key)
    return groups[0]


@transaction.atomic
def restore_shipped(row: ShippedRow, key: str) -> None:
    """Give a row the group of values around this one as they were last shipped.

    Raises KeyError as `field_group_of` does, and NotRestored, in which case nothing is changed.
    """
    group = [member for member in field_group_of(row, key) if member in shipped_values(row)]
    parts = [member for member in group if member in PARTS[type(row)]]
    _refuse_a_taken_name(row, group)
    _refuse_another_unit(row, group)
    for column in group:
        if column not in parts:
            setattr(row, column, _column_value(row, column))
    if isinstance(row, Operation):
        for typed, hours in HOURS_COLUMNS.items():
            rate = getattr(row, typed)
            setattr(row, hours, parse_rate(rate, "hour", row.unit).per_unit if rate else None)
        row.source = labor_source(row)
    row.save()
    for part in parts:
        _restore_parts(row, part)
    if isinstance(row, Assembly) and (loops := stored_loops()):
        raise NotRestored(loops[0].sentence)


def _column_value(row: ShippedRow, column: str) -> Any:
    """Return the shipped value of a column, as the column wants it."""
    field, value = type(row)._meta.get_field(column), shipped_values(row)[column]
    if value is None:
        return None
    if isinstance(field, models.ForeignKey):
        return _find(Material, value)  # the only key among the values that ship: the board of an assembly
    if isinstance(field, MoneyField):
        return Decimal(value)
    assert isinstance(field, models.Field)
    return field.to_python(value)


def _restore_parts(row: ShippedRow, key: str) -> None:
    """Replace the parts of a row by those that were shipped."""
    relation = getattr(row, PARTS[type(row)][key])
    relation.all().delete()
    for position, part in enumerate(shipped_values(row)[key]):
        if key == "components" and isinstance(row, Assembly):
            _component(row, position, part).save()
        else:
            other = {POINTS_TO[relation.model]: _find(Assembly, part["uses"])}
            relation.create(**other, reason=part["reason"])


def _component(assembly: Assembly, position: int, part: Mapping[str, Any]) -> Component:
    """Return an unsaved component as it was shipped."""
    used = _find(_USED_AS[part["as"]], part["uses"])
    measure = MEASURES[part["scales_with"] or assembly.measure]
    try:
        if part["formula"]:
            rate = formula_rate(part["formula"], part["inputs"], used.unit, measure.unit)
        else:
            rate = typed_rate(part["rate"], used.unit, measure.unit)
    except (UnreadableRate, UnfitUnits, UnusableInput) as error:
        raise NotRestored(f"{used.name} can't be put back: {error}") from error
    columns = {
        key: part[key] for key in ("scales_with", "formula", "times", "waste_percent", "set_up_per", "source")
    }
    return Component(
        assembly=assembly,
        position=position,
        rate=rate.per_unit,
        rate_typed=rate.typed,
        formula_inputs=part.get("inputs", {}),
        set_up=_set_up(used, Fraction(part["set_up"])),
        **columns,
        **{part["as"]: used},
    )


def _set_up(used: Material | Operation | Assembly, amount: Fraction) -> Decimal:
    """Return a shipped fixed amount in the unit that the firm counts in, to three decimals half-up."""
    was = shipped_values(used).get("unit", "") if isinstance(used, Material) else ""
    if was and was != used.unit:
        amount = convert(amount, was, used.unit)
    return Decimal(half_up(amount * 1000)).scaleb(-3)


def _find(model: type[Coded], code: str) -> Coded:
    """Return the row that was shipped under this code. Raises NotRestored where the firm has none."""
    row = model._default_manager.filter(code=code).first()
    if not isinstance(row, model):
        raise NotRestored(f"It was supplied with “{code}”, which isn't in your catalog any more.")
    return row


def _refuse_a_taken_name(row: ShippedRow, group: list[str]) -> None:
    if "name" in group:
        name = shipped_values(row)["name"]
        if type(row)._default_manager.filter(name__iexact=name).exclude(pk=row.pk).exists():
            raise NotRestored(f"{name} is the name of another one now: rename that first.")


def _refuse_another_unit(row: ShippedRow, group: list[str]) -> None:
    """Refuse a unit other than the firm's where something is typed against it.

    That would be wrong by the ratio of the units.
    """
    if not {"unit", "measure"} & set(group):
        return
    assert not isinstance(row, Kit | Package)  # they have neither
    shipped = shipped_values(row)
    was = MEASURES[shipped["measure"]].unit if isinstance(row, Assembly) else shipped["unit"]
    is_counted = row.used_in.exists() or (isinstance(row, Material) and row.packages.exists())
    if row.unit != was and is_counted:
        raise NotRestored(
            f"It was supplied counted in {was}, and what uses it counts it in {row.unit}: that stays."
        )
