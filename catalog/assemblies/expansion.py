"""From an assembly and the measures of rooms to the hours and materials that it requires.

Frozen values in, frozen values out. Every requirement keeps the names of the assemblies it came through and
its calculation, so that each number on a page can be opened and explained.
"""

from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction

from catalog.assemblies.specs import AssemblySpec, ComponentSpec, MaterialSpec, NestedInItself, OperationSpec
from catalog.measures.rates import Rate
from catalog.measures.room_measures import ALL_OPENINGS, MEASURES, DeductRule, MeasureSet
from catalog.measures.units import format_amount, format_number

ONE = Fraction(1)
ZERO = Fraction(0)


@dataclass(frozen=True)
class Calculation:
    """The factors of one requirement: (amount x times x rate) x (1 + waste) + set_up.

    `conditions` says in words what of the job is in `times` and in the set-up.
    """

    measure: str
    amount: Fraction
    times: Fraction
    rate: Rate
    waste: Fraction
    set_up: Fraction
    estimated: bool
    deduct: DeductRule | None
    conditions: str = ""

    def quantity(self) -> Fraction:
        """Return the exact quantity that the factors give."""
        driven = self.amount * self.times * self.rate.per_unit
        return (driven * (1 + self.waste) if self.waste else driven) + self.set_up

    def in_words(self, total: Fraction, unit: str, metric: bool = False) -> str:
        """Return one sentence of arithmetic: "Walls 327.3 sq ft × 2, 350 sq ft per gallon = 1.87 gal"."""
        measure = MEASURES[self.measure]
        words = f"{measure.label} {format_amount(self.amount, measure.unit, metric)}"
        notes = ["estimated"] if self.estimated else []
        if self.deduct is not None:
            notes.append(self.deduct.in_words())
        if notes:
            words += f" ({', '.join(notes)})"
        if self.times != ONE:
            words += f" × {format_number(self.times)}"
            words += f" ({self.conditions})" if self.conditions else ""
        if self.rate.typed:
            words += f", {self.rate.typed}"
        if self.waste:
            words += f", and {format_number(self.waste * 100)}% waste"
        if self.set_up:
            words += f", plus {format_amount(self.set_up, unit, metric)} set-up"
        return f"{words} = {format_amount(total, unit, metric)}"


@dataclass(frozen=True)
class Requirement:
    """What one component requires: a material in its own unit, or an operation in hours."""

    use: MaterialSpec | OperationSpec
    quantity: Fraction
    path: tuple[str, ...]  # names of the assemblies it came through, the outermost first
    calculation: Calculation
    source: str = ""
    component: str = ""  # the key of the component that requires it
    laid: str = ""  # in words what its layout takes, where the quantity comes from one
    by_area: str = ""  # why what could be laid is bought by area instead

    @property
    def is_labor(self) -> bool:
        return isinstance(self.use, OperationSpec)

    @property
    def unit(self) -> str:
        return "hour" if isinstance(self.use, OperationSpec) else self.use.unit

    @property
    def rate_source(self) -> str:
        """Where the rate comes from: the component's own source, or else the operation's."""
        return self.source or (self.use.source if isinstance(self.use, OperationSpec) else "")

    def in_words(self, metric: bool = False) -> str:
        """Return the arithmetic of the quantity as one sentence."""
        if self.laid:
            return f"{self.laid} = {format_amount(self.quantity, self.unit, metric)}"
        words = self.calculation.in_words(self.quantity, self.unit, metric)
        return f"{words}; by area, as {self.by_area}" if self.by_area else words


Layout = Callable[[AssemblySpec, MeasureSet], MeasureSet]


def no_layout(assembly: AssemblySpec, measures: MeasureSet) -> MeasureSet:
    """Return the measures as they are: the layout of an assembly whose sheets aren't laid out."""
    return measures


@dataclass(frozen=True)
class Scale:
    """How a nested assembly is scaled: the amount of its own measure, and a factor on every other one.

    The outermost assembly has no amount of its own: it takes its measure from the rooms.
    """

    own: Fraction | None = None
    factor: Fraction = ONE


def expand(
    assembly: AssemblySpec,
    measures: MeasureSet,
    *,
    firm_deduct: DeductRule = ALL_OPENINGS,
    layout: Layout = no_layout,
    set_up_done: frozenset[str] = frozenset(),
) -> tuple[Requirement, ...]:
    """Return all that an assembly requires on these measures, in the order of its components.

    quantity = measure x times x rate x (1 + waste) + set-up, exact. Waste applies to materials only. A
    set-up per job is left out for components whose key is in `set_up_done`; where there is nothing to do (no
    outside corner, no window), there is no set-up. `layout` turns the measures of an assembly into those
    that count its sheets. Raises MissingMeasure when a component scales with a measure that isn't known,
    and NestedInItself on a cycle.
    """
    return tuple(_Expansion(firm_deduct, layout, set_up_done).requirements(assembly, measures, Scale(), ()))


@dataclass(frozen=True)
class _Expansion:
    """What stays the same at every level of one expansion."""

    firm_deduct: DeductRule
    layout: Layout
    set_up_done: frozenset[str]

    def requirements(
        self, assembly: AssemblySpec, measures: MeasureSet, scale: Scale, path: tuple[str, ...]
    ) -> list[Requirement]:
        if assembly.name in path:
            raise NestedInItself((*path, assembly.name))
        path = (*path, assembly.name)
        measures = self.layout(assembly, measures)
        required: list[Requirement] = []
        for component in assembly.components:
            code = component.scales_with or assembly.measure
            labor = not isinstance(component.use, MaterialSpec)
            deduct = (assembly.deduct_labor if labor else assembly.deduct_material) or self.firm_deduct
            if code == assembly.measure and scale.own is not None:
                amount, factor = scale.own, ONE
            else:
                amount, factor = measures.amount(code, deduct), scale.factor
            times = component.times * factor
            if isinstance(component.use, AssemblySpec):
                inner = Scale(amount * times * component.rate.per_unit, times * component.rate.per_unit)
                required += self.requirements(component.use, measures, inner, path)
                continue
            calculation = Calculation(
                measure=code,
                amount=amount,
                times=times,
                rate=_whole_rate(component),
                waste=ZERO if labor else component.waste,
                set_up=self._set_up(component, measures) if amount * times else ZERO,
                estimated=code in measures.estimated,
                deduct=deduct if code == "wall_net" and code not in measures.values else None,
            )
            quantity = calculation.quantity()
            required.append(
                Requirement(component.use, quantity, path, calculation, component.source, component.key)
            )
        return required

    def _set_up(self, component: ComponentSpec, measures: MeasureSet) -> Fraction:
        set_up = component.set_up
        if component.set_up_per == "room" and measures.has("rooms"):
            set_up *= measures.amount("rooms")
        elif component.set_up_per == "job" and component.key in self.set_up_done:
            set_up = ZERO
        if isinstance(component.use, OperationSpec):
            set_up += component.use.set_up_hours * component.times
        return set_up


def _whole_rate(component: ComponentSpec) -> Rate:
    """Return the rate of a component; for labor, that of the component times the operation's own hours.

    The words are those of the operation alone where the component adds no factor.
    """
    if not isinstance(component.use, OperationSpec):
        return component.rate
    own = component.use.rate
    if component.rate.per_unit == ONE:
        return own
    return Rate(f"{component.rate.typed}, {own.typed}", component.rate.per_unit * own.per_unit)


def hours(requirements: tuple[Requirement, ...]) -> Fraction:
    """Return the hours of labor in these requirements."""
    return sum((requirement.quantity for requirement in requirements if requirement.is_labor), ZERO)
