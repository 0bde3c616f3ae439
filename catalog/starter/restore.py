"""Giving values back as the starting catalog shipped them, one fact of a row at a time."""

from collections.abc import Mapping
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import models, transaction
from djmoney.models.fields import MoneyField

from catalog.assemblies.component_rates import typed_rate, worked_out_rate
from catalog.assemblies.formulas import UnusableInput
from catalog.measures.lengths import half_up
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import UnreadableRate, convert, parse_rate
from catalog.models import Assembly, Component, Material, Operation, Precedence
from catalog.starter.cycles import loops
from catalog.starter.rows import unit_of
from catalog.starter.shipped import FACTS, PARTS, POINTS_TO
from catalog.starter.source_labels import labor_source

_USES: Mapping[str, type[models.Model]] = {"material": Material, "operation": Operation, "part": Assembly}
_HOURS = {
    "low_typed": "low_hours_per_unit",
    "rate_typed": "hours_per_unit",
    "high_typed": "high_hours_per_unit",
}


class NotPutBack(ValueError):
    """A shipped value that can't stand beside what the firm has now; the message is a plain sentence."""


def fact_of(row: models.Model, key: str) -> tuple[str, ...]:
    """The values that are right only together with this one. Raises KeyError where the row has none such, or
    wasn't shipped."""
    found = [fact for fact in FACTS[type(row)] if key in fact]
    if not found or row.shipped is None or key not in row.shipped:
        raise KeyError(key)
    return found[0]


@transaction.atomic
def put_back(row: models.Model, key: str) -> None:
    """Give a row the fact of this value as it was last shipped.

    Raises KeyError as `fact_of` does, and NotPutBack, in which case nothing is changed.
    """
    fact = [each for each in fact_of(row, key) if each in row.shipped]
    _refuse_a_taken_name(row, fact)
    _refuse_another_unit(row, fact)
    for each in fact:
        if each not in PARTS[type(row)]:
            setattr(row, each, _column(row, each))
    if isinstance(row, Operation):
        for typed, hours in _HOURS.items():
            rate = getattr(row, typed)
            setattr(row, hours, parse_rate(rate, "hour", row.unit).per_unit if rate else None)
        row.source = labor_source(row)
    row.save()
    for each in fact:
        if each in PARTS[type(row)]:
            _put_parts_back(row, each)
    if isinstance(row, Assembly):
        _refuse_loops()


def _column(row: models.Model, key: str) -> Any:
    field, value = type(row)._meta.get_field(key), row.shipped[key]
    if value is None:
        return None
    if field.is_relation:
        return _find(field.related_model, value)
    return Decimal(value) if isinstance(field, MoneyField) else field.to_python(value)


def _put_parts_back(row: models.Model, key: str) -> None:
    relation = getattr(row, PARTS[type(row)][key])
    relation.all().delete()
    for position, part in enumerate(row.shipped[key]):
        if key == "components":
            _component(row, position, part).save()
        else:
            other = {POINTS_TO[relation.model]: _find(Assembly, part["uses"])}
            relation.create(**other, reason=part["reason"])


def _component(assembly: Assembly, position: int, part: Mapping[str, Any]) -> Component:
    used = _find(_USES[part["as"]], part["uses"])
    measure, unit = MEASURES[part["scales_with"] or assembly.measure], unit_of(used)
    try:
        if part["formula"]:
            rate = worked_out_rate(part["formula"], part["inputs"], unit, measure.unit)
        else:
            rate = typed_rate(part["rate"], unit, measure.unit)
    except (UnreadableRate, UnusableInput) as error:
        raise NotPutBack(f"{used.name} can't be put back: {error}") from error
    kept = ("scales_with", "formula", "times", "waste_percent", "set_up_per", "source")
    return Component(
        assembly=assembly,
        position=position,
        rate=rate.per_unit,
        rate_typed=rate.typed,
        formula_inputs=part.get("inputs", {}),
        set_up=_set_up(used, Fraction(part["set_up"])),
        **{part["as"]: used},
        **{key: part[key] for key in kept},
    )


def _set_up(used: models.Model, amount: Fraction) -> Decimal:
    """The fixed amount, shipped in the unit that was shipped, in the unit that the firm counts it in."""
    was = used.shipped["unit"] if isinstance(used, Material) and used.shipped else ""
    if was and was != used.unit:
        amount = convert(amount, was, used.unit)
    return Decimal(half_up(amount * 1000)).scaleb(-3)


def _find(model: type[models.Model], code: str) -> models.Model:
    found = model.objects.filter(code=code).first()
    if found is None:
        raise NotPutBack(f"It was shipped with “{code}”, which isn't in your catalog any more.")
    return found


def _refuse_a_taken_name(row: models.Model, fact: list[str]) -> None:
    if "name" in fact:
        name = row.shipped["name"]
        if type(row).objects.filter(name__iexact=name).exclude(pk=row.pk).exists():
            raise NotPutBack(f"{name} is the name of another one now: rename that first.")


def _refuse_another_unit(row: models.Model, fact: list[str]) -> None:
    """What is typed against the unit that the firm chose would be wrong by the ratio of the units."""
    if not {"unit", "measure"} & set(fact):
        return
    own = unit_of(row)
    was = MEASURES[row.shipped["measure"]].unit if isinstance(row, Assembly) else row.shipped["unit"]
    counted = row.used_in.exists() or (isinstance(row, Material) and row.packages.exists())
    if own != was and counted:
        raise NotPutBack(f"It was shipped counted in {was}, and what uses it counts it in {own}: that stays.")


def _refuse_loops() -> None:
    nested = Component.objects.filter(part__isnull=False).select_related("assembly", "part")
    ordered = Precedence.objects.select_related("assembly", "earlier")
    found = loops(
        [(each.assembly, each.part) for each in nested],
        [(each.assembly, each.earlier) for each in ordered],
    )
    if found:
        raise NotPutBack(found[0].sentence)
