"""The catalog as frozen values: materials, operations, and assemblies with their components.

The rules work on these instead of on rows of the database.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from fractions import Fraction

from catalog.assemblies.packaging import Offer
from catalog.measures.rates import Rate
from catalog.measures.room_measures import DeductRule

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

    `stick` says that each package is one stick, bought by a cut list. `stick_width_nm` is the length that a
    miter across its face adds; None where it isn't known. `keeps_days` are the working days, that of buying
    among them, within which it must be used; None where it keeps as long as a supply run serves.
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
    keeps_days: int | None = None


@dataclass(frozen=True)
class OperationSpec:
    """A piece of labor: hours for one unit, hours of set-up each time, hours to dry or set afterwards.

    `low` and `high` are hours for one unit when all goes well and when little does; None where not known.
    `surface` is what it works on: "floor", "walls", "ceiling" or "none". `over_days` says whether it may go
    over several days, "yes" or "no", or is done a little each day, "daily". Empty leaves both to what it
    scales with and to whether it dries.
    """

    code: str
    name: str
    unit: str
    rate: Rate
    set_up_hours: Fraction = ZERO
    wait_hours: Fraction = ZERO
    source: str = ""
    low: Fraction | None = None
    high: Fraction | None = None
    surface: str = ""
    over_days: str = ""


@dataclass(frozen=True)
class ComponentSpec:
    """One use of a material, an operation or another assembly in an assembly.

    It scales with the measure `scales_with`; empty means the assembly's own. `rate` is in units of what is
    used for one unit of the measure; `waste` is a share of material; `set_up` is a fixed amount in the unit
    of what is used (hours for labor), once for `set_up_per` "job" or for each "room". `fills_joints` says
    that what it takes by area stands for the joints of tile there.
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
    fills_joints: bool = False


@dataclass(frozen=True)
class AssemblySpec:
    """A finished piece of work. Where a deduct rule is None, the firm's own is used.

    `board` is the board whose sheets it lays. `tile_joint_nm`, `tile_offset` as a share of a tile and
    `tile_pattern` say how its tile is set; None leaves it open. Tile is bought with `tile_spare` besides, as
    a share; with `tile_offcuts` what is cut off serves once more. `after` are codes of assemblies that are
    done before it where a job has both. `plan_measure` is the measure of the plan that stands for one entered
    by hand where nothing is typed.
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
    tile_pattern: str = "straight"
    tile_spare: Fraction = Fraction(1, 20)
    tile_offcuts: bool = True
    after: tuple[str, ...] = ()
    plan_measure: str = ""


class NestedInItself(ValueError):
    """An assembly is, directly or through others, part of itself; the message names the loop."""

    def __init__(self, names: tuple[str, ...]) -> None:
        super().__init__(f"An assembly can't be part of itself: {' > '.join(names)}.")


def job_set_ups(assembly: AssemblySpec) -> frozenset[str]:
    """Return the keys of the components, nested ones too, whose set-up counts once for a job."""
    keys: set[str] = set()
    for component in assembly.components:
        if component.set_up and component.set_up_per == "job":
            keys.add(component.key)
        if isinstance(component.use, AssemblySpec):
            keys |= job_set_ups(component.use)
    return frozenset(keys)


def measures_used(assembly: AssemblySpec) -> tuple[str, ...]:
    """Return the codes of the measures that an assembly and all nested in it scale with, its own first."""
    codes = [assembly.measure]
    for component in assembly.components:
        if component.scales_with:
            codes.append(component.scales_with)
        if isinstance(component.use, AssemblySpec):
            codes += measures_used(component.use)[1:]
    return tuple(dict.fromkeys(codes))


def materials_used(assembly: AssemblySpec) -> tuple[MaterialSpec, ...]:
    """Return the materials of an assembly and of all nested in it, each once."""
    by_code: dict[str, MaterialSpec] = {}
    for component in assembly.components:
        if isinstance(component.use, MaterialSpec):
            by_code[component.use.code] = component.use
        elif isinstance(component.use, AssemblySpec):
            by_code |= {material.code: material for material in materials_used(component.use)}
    return tuple(by_code.values())


def with_boards(assembly: AssemblySpec, replacements: Mapping[str, MaterialSpec]) -> AssemblySpec:
    """Return the assembly, and all nested in it, laying other boards.

    `replacements` maps the code of the board laid now to the board laid instead. Only components that scale
    with the count of the board's sheets change: a rate against an area is right only for the size it was
    given for.
    """
    board = assembly.board
    other = replacements.get(board.code) if board else None

    def swapped(component: ComponentSpec) -> ComponentSpec:
        use = component.use
        if isinstance(use, AssemblySpec):
            return replace(component, use=with_boards(use, replacements))
        if other and use == board and component.scales_with == "sheets":
            return replace(component, use=other)
        return component

    components = tuple(swapped(component) for component in assembly.components)
    return replace(assembly, components=components, board=other or board)


def nested_codes(assembly: AssemblySpec) -> frozenset[str]:
    """Return the code of an assembly and those of all nested in it."""
    uses = (component.use for component in assembly.components)
    inner = (use for use in uses if isinstance(use, AssemblySpec))
    return frozenset({assembly.code}).union(*map(nested_codes, inner))
