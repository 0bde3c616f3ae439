"""From an assembly and the measures of rooms to the hours and materials that it requires.

Pure: frozen values in, frozen values out. Every requirement remembers the path it came by and its
working, so that each number on a page can be opened and explained.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.packaging import Offer
from catalog.measures.room_measures import ALL_OPENINGS, MEASURES, DeductRule, MeasureSet
from catalog.measures.units import Rate, format_number, format_quantity

ONE = Fraction(1)
ZERO = Fraction(0)


@dataclass(frozen=True)
class SheetSize:
    """A board as it is sold, in nanometers."""

    length_nm: int
    width_nm: int
    thickness_nm: int


@dataclass(frozen=True)
class MaterialSpec:
    """Something bought; `kind` is material, equipment or subcontract.

    `stick`: each package is one stick, and it is bought by a cut list. `stick_width_nm` is what a miter
    across its face adds; None isn't known.
    """

    code: str
    name: str
    unit: str
    kind: str = "material"
    taxable: bool = True
    caution: str = ""
    offers: tuple[Offer, ...] = ()
    sheet: SheetSize | None = None
    stick: bool = False
    stick_width_nm: int | None = None


@dataclass(frozen=True)
class OperationSpec:
    """A piece of labor: hours for one unit, hours of set-up each time, hours to dry or set after it."""

    code: str
    name: str
    unit: str
    rate: Rate
    set_up_hours: Fraction = ZERO
    wait_hours: Fraction = ZERO
    source: str = ""


@dataclass(frozen=True)
class ComponentSpec:
    """One use in an assembly. `scales_with` empty: the assembly's own measure.

    `rate` is in units of what is used for one unit of the measure; `waste` is a share of material;
    `set_up` is a fixed amount in the unit of what is used (hours for labor).
    """

    key: str
    use: "MaterialSpec | OperationSpec | AssemblySpec"
    rate: Rate
    scales_with: str = ""
    times: int = 1
    waste: Fraction = ZERO
    set_up: Fraction = ZERO
    set_up_per: str = "job"
    source: str = ""


@dataclass(frozen=True)
class AssemblySpec:
    """A finished piece of work. A deduct rule of None follows the firm's.

    `tile_joint_nm` and `tile_offset`, a share of a tile, say how its tile is set; None leaves it open.
    """

    code: str
    name: str
    phase: str
    measure: str
    components: tuple[ComponentSpec, ...] = ()
    scope: str = ""
    caution: str = ""
    deduct_material: DeductRule | None = None
    deduct_labor: DeductRule | None = None
    board: MaterialSpec | None = None
    tile_joint_nm: int | None = None
    tile_offset: Fraction | None = None


@dataclass(frozen=True)
class Working:
    """The arithmetic of one requirement, kept as its factors."""

    measure: str
    amount: Fraction
    times: Fraction
    rate: Rate
    waste: Fraction
    set_up: Fraction
    estimated: bool
    deduct: DeductRule | None

    def in_words(self, total: Fraction, unit: str, metric: bool = False) -> str:
        """One sentence of arithmetic, such as "Walls 327.3 sq ft x 2 at 350 sq ft per gallon = 1.87 gal"."""
        measure = MEASURES[self.measure]
        words = f"{measure.label} {format_quantity(self.amount, measure.unit, metric)}"
        notes = ["estimated"] if self.estimated else []
        if self.deduct is not None:
            notes.append(self.deduct.in_words())
        if notes:
            words += f" ({', '.join(notes)})"
        if self.times != ONE:
            words += f" × {format_number(self.times)}"
        if self.rate.typed:
            words += f", {self.rate.typed}"
        if self.waste:
            words += f", and {format_number(self.waste * 100)}% waste"
        if self.set_up:
            words += f", plus {format_quantity(self.set_up, unit, metric)} set-up"
        return f"{words} = {format_quantity(total, unit, metric)}"


@dataclass(frozen=True)
class Requirement:
    """What one component asks for: a material in its unit, or an operation in hours."""

    use: MaterialSpec | OperationSpec
    quantity: Fraction
    path: tuple[str, ...]
    working: Working
    source: str = ""
    component: str = ""  # the key of the component that asks for it

    @property
    def is_labor(self) -> bool:
        return isinstance(self.use, OperationSpec)

    @property
    def unit(self) -> str:
        return "hour" if isinstance(self.use, OperationSpec) else self.use.unit

    def in_words(self, metric: bool = False) -> str:
        return self.working.in_words(self.quantity, self.unit, metric)


class NestedInItself(ValueError):
    """An assembly that is, directly or through others, part of itself."""

    def __init__(self, names: tuple[str, ...]) -> None:
        super().__init__(f"An assembly can't be part of itself: {' > '.join(names)}.")


Layout = Callable[[AssemblySpec, MeasureSet], MeasureSet]


def no_layout(assembly: AssemblySpec, measures: MeasureSet) -> MeasureSet:
    """A layout that lays no sheets: the measures as they are."""
    return measures


@dataclass(frozen=True)
class Scale:
    """What an assembly scales with at one place of the nesting: its own amount, and a factor on the rest."""

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
    """All that an assembly requires on these measures, in the order of its components.

    quantity = measure x times x rate x (1 + waste) + set-up. Waste falls on materials only. A set-up
    "for the job" is left out for components whose key is in `set_up_done`; where there is nothing to do
    (no outside corner, no window), nothing is set up. Nothing is rounded.
    Raises MissingMeasure when a component scales with a measure that isn't known, NestedInItself on a
    cycle.
    """
    return tuple(_expand(assembly, measures, firm_deduct, layout, set_up_done, Scale(), ()))


def job_set_ups(assembly: AssemblySpec) -> frozenset[str]:
    """Keys of the components, nested ones too, whose set-up counts once for a job."""
    keys: set[str] = set()
    for component in assembly.components:
        if component.set_up and component.set_up_per == "job":
            keys.add(component.key)
        if isinstance(component.use, AssemblySpec):
            keys |= job_set_ups(component.use)
    return frozenset(keys)


def measures_used(assembly: AssemblySpec) -> tuple[str, ...]:
    """Codes of the measures that an assembly and all nested in it scale with, its own first."""
    codes = [assembly.measure]
    for component in assembly.components:
        if component.scales_with:
            codes.append(component.scales_with)
        if isinstance(component.use, AssemblySpec):
            codes += measures_used(component.use)[1:]
    return tuple(dict.fromkeys(codes))


def materials_used(assembly: AssemblySpec) -> tuple[MaterialSpec, ...]:
    """The materials of an assembly and of all nested in it, each once."""
    found: dict[str, MaterialSpec] = {}
    for component in assembly.components:
        if isinstance(component.use, MaterialSpec):
            found[component.use.code] = component.use
        elif isinstance(component.use, AssemblySpec):
            found |= {each.code: each for each in materials_used(component.use)}
    return tuple(found.values())


def with_boards(assembly: AssemblySpec, instead: Mapping[str, MaterialSpec]) -> AssemblySpec:
    """The assembly, and all nested in it, laying other boards; `instead` is by the code of the board it lays.

    Only what counts the board's sheets follows: a rate against an area holds for the size it was given for.
    """
    board = assembly.board
    other = instead.get(board.code) if board else None

    def swapped(component: ComponentSpec) -> ComponentSpec:
        use = component.use
        if isinstance(use, AssemblySpec):
            return replace(component, use=with_boards(use, instead))
        if other and use == board and component.scales_with == "sheets":
            return replace(component, use=other)
        return component

    components = tuple(swapped(each) for each in assembly.components)
    return replace(assembly, components=components, board=other or board)


def nested_codes(assembly: AssemblySpec) -> frozenset[str]:
    """The code of an assembly and of all nested in it."""
    inner = (each.use for each in assembly.components if isinstance(each.use, AssemblySpec))
    return frozenset({assembly.code}).union(*map(nested_codes, inner))


def _expand(
    assembly: AssemblySpec,
    measures: MeasureSet,
    firm_deduct: DeductRule,
    layout: Layout,
    set_up_done: frozenset[str],
    scale: Scale,
    path: tuple[str, ...],
) -> list[Requirement]:
    if assembly.name in path:
        raise NestedInItself((*path, assembly.name))
    path = (*path, assembly.name)
    measures = layout(assembly, measures)
    required: list[Requirement] = []
    for component in assembly.components:
        code = component.scales_with or assembly.measure
        labor = not isinstance(component.use, MaterialSpec)
        deduct = (assembly.deduct_labor if labor else assembly.deduct_material) or firm_deduct
        if code == assembly.measure and scale.own is not None:
            amount, factor = scale.own, ONE
        else:
            amount, factor = measures.amount(code, deduct), scale.factor
        times = component.times * factor
        if isinstance(component.use, AssemblySpec):
            inner = Scale(amount * times * component.rate.per_unit, times * component.rate.per_unit)
            required += _expand(component.use, measures, firm_deduct, layout, set_up_done, inner, path)
            continue
        working = Working(
            measure=code,
            amount=amount,
            times=times,
            rate=_shown_rate(component),
            waste=ZERO if labor else component.waste,
            set_up=_set_up(component, measures, set_up_done) if amount * times else ZERO,
            estimated=code in measures.estimated,
            deduct=deduct if code == "wall_net" and code not in measures.values else None,
        )
        required.append(
            Requirement(component.use, _quantity(working), path, working, component.source, component.key)
        )
    return required


def _quantity(working: Working) -> Fraction:
    driven = working.amount * working.times * working.rate.per_unit
    return (driven * (1 + working.waste) if working.waste else driven) + working.set_up


def _set_up(component: ComponentSpec, measures: MeasureSet, set_up_done: frozenset[str]) -> Fraction:
    set_up = component.set_up
    if component.set_up_per == "room" and measures.has("rooms"):
        set_up *= measures.amount("rooms")
    elif component.set_up_per == "job" and component.key in set_up_done:
        set_up = ZERO
    if isinstance(component.use, OperationSpec):
        set_up += component.use.set_up_hours * component.times
    return set_up


def _shown_rate(component: ComponentSpec) -> Rate:
    """The rate as a reader wants it: the operation's own hours where the component adds no factor."""
    if not isinstance(component.use, OperationSpec):
        return component.rate
    own = component.use.rate
    if component.rate.per_unit == ONE:
        return own
    return Rate(f"{component.rate.typed}, {own.typed}", component.rate.per_unit * own.per_unit)


def hours(requirements: tuple[Requirement, ...]) -> Fraction:
    """Hours of labor in these requirements."""
    return sum((each.quantity for each in requirements if each.is_labor), ZERO)
