"""Where a number of the catalog comes from: the value as kept, its formula, and what was shipped."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from django.db import models

from catalog.assemblies.formulas import FORMULAS, Formula
from catalog.assemblies.rate_messages import rate_in_words, takes_in_words
from catalog.measures.room_measures import MEASURES, Measure
from catalog.measures.units import format_quantity
from catalog.models import Assembly, Bundle, Component, Material, Operation, Package
from catalog.starter.restore import fact_of
from catalog.starter.rows import unit_of
from catalog.starter.shipped import Change, changes, codes_in


@dataclass(frozen=True)
class Kept:
    """A value as it is kept, and what it comes to."""

    label: str
    value: str
    comes_to: str = ""


@dataclass(frozen=True)
class FormulaInput:
    """An input of a formula: the value in use, and where its default comes from."""

    label: str
    value: str
    source: str
    is_default: bool


@dataclass(frozen=True)
class OwnFact:
    """What the firm changed that goes back together; `key` names it, and is empty where it can't."""

    key: str
    changes: tuple[Change, ...]


@dataclass(frozen=True)
class Own:
    """What the firm made of a row. `shipped` is false for a row that is its own altogether."""

    row: models.Model
    shipped: bool
    facts: tuple[OwnFact, ...]

    @property
    def put_back_url(self) -> str:
        """The name of the address that puts a fact of this row back; empty for a bundle, which is made anew
        as quickly."""
        return "" if isinstance(self.row, Bundle) else f"{self.row._meta.verbose_name_plural}-put-back"

    @property
    def page(self) -> tuple[str, int]:
        """The name of the address of the row's own page, and the primary key in it."""
        if isinstance(self.row, Package):
            return "material", self.row.material_id
        return self.row._meta.model_name, self.row.pk

    @property
    def labels(self) -> tuple[str, ...]:
        return tuple(dict.fromkeys(change.label for fact in self.facts for change in fact.changes))


def own_of(row: models.Model, only: str = "") -> Own:
    """What the firm changed of a row, fact by fact; `only` names the one fact that is asked for."""
    facts = []
    found = changes(row, _names(codes_in(row))) if row.shipped is not None else ()
    for fact, group in groupby(found, key=lambda change: fact_of(row, change.key) if change.key else ()):
        if not only or only in fact:
            facts.append(OwnFact(fact[0] if fact else "", tuple(group)))
    return Own(row, row.shipped is not None, tuple(facts))


def mark_of(row: models.Model) -> str:
    """What the firm has made of a row in a few words; empty where it is as it was shipped.

    Reads the parts of the row; the packages of a material are part of it.
    """
    if not hasattr(row, "shipped"):
        return ""
    if row.shipped is None:
        return "your own"
    packages = row.packages.all() if isinstance(row, Material) else ()
    if changes(row) or any(mark_of(each) for each in packages if not each.retired):
        return "changed by you"
    return ""


def with_parts(assemblies: models.QuerySet[Assembly]) -> models.QuerySet[Assembly]:
    """Assemblies with all that is compared with what was shipped, in a fixed number of queries."""
    return assemblies.select_related("board").prefetch_related(
        "components__material",
        "components__operation",
        "components__part",
        "goes_with__companion",
        "waits_for__earlier",
    )


def labor_kept(operation: Operation) -> tuple[Kept, ...]:
    rates = (
        ("Hours when all goes well", operation.low_typed),
        ("Hours it likely takes", operation.rate_typed),
        ("Hours when little goes well", operation.high_typed),
    )
    fixed = (
        ("Set-up, each time", operation.set_up_hours),
        ("To dry or set, before the next step", operation.wait_hours),
    )
    return (
        *(
            Kept(label, typed, rate_in_words(typed, "hour", operation.unit))
            for label, typed in rates
            if typed
        ),
        *(Kept(label, format_quantity(Fraction(hours), "hour")) for label, hours in fixed if hours),
    )


def component_kept(component: Component) -> tuple[Kept, ...]:
    """How much of what it uses a component takes."""
    measure, unit = measure_of(component), unit_of(component.uses)
    counted = measure.unit == "each"
    meaning = measure.meaning if counted else f"{measure.meaning}, in {measure.unit}"
    kept = [Kept("Scales with", measure.label, meaning)]
    said_already = not component.rate_typed or (counted and unit == "each")
    amount = "" if said_already else takes_in_words(component.rate, unit, measure.unit)
    kept.append(Kept("How much", component.rate_typed or "as much as is measured", amount))
    if component.times != 1:
        kept.append(Kept("Times", f"{component.times}"))
    if component.waste_percent:
        kept.append(Kept("Waste", f"{component.waste_percent.normalize():f}%"))
    if component.set_up:
        fixed = format_quantity(Fraction(component.set_up), "hour" if component.operation_id else unit)
        kept.append(Kept("Fixed amount", fixed, component.get_set_up_per_display()))
    return tuple(kept)


def formula_inputs(component: Component) -> tuple[Formula, tuple[FormulaInput, ...]] | None:
    """The formula of a component with each of its inputs; None where its rate is typed."""
    formula = FORMULAS.get(component.formula)
    if formula is None:
        return None
    rows = []
    for each in formula.inputs:
        value = component.formula_inputs.get(each.name) or each.default
        words = f"{value} {each.unit}".rstrip() if value else "left out"
        rows.append(FormulaInput(each.label, words, each.source, value == each.default))
    return formula, tuple(rows)


def measure_of(component: Component) -> Measure:
    return MEASURES[component.scales_with or component.assembly.measure]


def _names(codes: Iterable[str]) -> dict[str, str]:
    """What codes of parts are called."""
    codes = list(codes)
    return {
        code: name
        for model in (Assembly, Material, Operation)
        for code, name in model.objects.filter(code__in=codes).values_list("code", "name")
    }
