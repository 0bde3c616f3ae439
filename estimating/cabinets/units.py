"""What can stand in a run of cabinets, and a run typed as a list of widths."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from catalog.measures.lengths import (
    NM_PER_INCH,
    NM_PER_METER,
    UnreadableLength,
    half_up,
    normalized,
    parse_length,
    shortened,
)

# Where a run is: on the floor under a counter, on the wall over it, or from the floor up.
Layer = Literal["base", "hung", "tall"]
LAYERS: Mapping[str, str] = {"base": "base cabinets", "hung": "wall cabinets", "tall": "tall cabinets"}

MOST_UNITS = 40
LEAST_FILLER_NM = NM_PER_INCH // 4  # less than that is scribed (common practice)
MOST_FILLER_NM = 6 * NM_PER_INCH  # above it, another cabinet may fit (common practice)
ONE_DOOR_NM = 21 * NM_PER_INCH  # a wider cabinet has two doors (common practice)
DRAWERS = 3  # in a stack of drawers (common practice)


@dataclass(frozen=True)
class UnitKind:
    """What a place in a run holds.

    `counter` tells whether the counter runs over it, `cut_out` what is set into the counter there. `words`
    are typed for it; the first is said again.
    """

    code: str
    words: tuple[str, ...]
    layers: frozenset[str]
    cabinet: bool = False
    appliance: bool = False
    counter: bool = True
    cut_out: str = ""


def _kind(code: str, *words: str, layers: str = "base hung tall", **traits: bool | str) -> UnitKind:
    return UnitKind(code, words or (code,), frozenset(layers.split()), **traits)  # type: ignore[arg-type]


UNIT_KINDS: Mapping[str, UnitKind] = {
    kind.code: kind
    for kind in (
        _kind("cabinet", "cabinet", "door", "doors", "pantry", cabinet=True),
        _kind("drawers", "drawers", "drawer", layers="base", cabinet=True),
        _kind("corner", "corner", "corner cabinet", layers="base hung", cabinet=True),
        _kind("sink", "sink", "sink cabinet", "sink base", layers="base", cabinet=True, cut_out="sink"),
        _kind("cooktop", layers="base", cabinet=True, appliance=True, cut_out="cooktop"),
        _kind("oven", "oven", "wall oven", layers="base tall", cabinet=True, appliance=True),
        _kind("dishwasher", layers="base", appliance=True),
        _kind("range", "range", "stove", layers="base", appliance=True, counter=False),
        _kind("refrigerator", "refrigerator", "fridge", layers="base tall", appliance=True, counter=False),
        _kind("microwave", "microwave", "microwave oven", layers="base hung", appliance=True),
        _kind("hood", "hood", "range hood", layers="hung", appliance=True),
        _kind("cooler", "wine cooler", "cooler", layers="base", appliance=True),
        _kind("freezer", layers="base tall", appliance=True, counter=False),
        _kind("washer", layers="base", appliance=True, counter=False),
        _kind("dryer", layers="base", appliance=True, counter=False),
        _kind("open", "open", "knee space", "open space", "shelf", "shelves"),
        _kind("filler", "filler", "fillers"),
        _kind("space", "space", "corner space", "empty", counter=False),
        _kind("panel", "panel", "end panel"),
    )
}
_BY_WORD = {word: kind for kind in UNIT_KINDS.values() for word in kind.words}
_LENGTH_WORDS = {"in", "in.", "inch", "inches", "ft", "ft.", "foot", "feet", "m", "cm", "mm"}


class UnreadableUnits(ValueError):
    """A list of cabinets that can't be read; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class Unit:
    """A place in a run: what it holds, by the code of its kind, and how wide it is."""

    kind: str
    width_nm: int

    @property
    def traits(self) -> UnitKind:
        return UNIT_KINDS[self.kind]


@dataclass(frozen=True)
class PlacedUnit:
    """A unit with its place, from the start of its run. `left` is the filler that the widths leave."""

    unit: Unit
    begin_nm: int
    left: bool = False

    @property
    def end_nm(self) -> int:
        return self.begin_nm + self.unit.width_nm


def parse_units(text: str, bare: str = "in") -> tuple[Unit, ...]:
    """Read a list such as "36, 30, dishwasher 24, sink 36". Raises UnreadableUnits.

    `bare` is the unit of a number without a mark.
    """
    parts = [part for part in re.split(r"[,;\n]+", text) if part.strip()]
    if len(parts) > MOST_UNITS:
        raise UnreadableUnits(f"A run has at most {MOST_UNITS} cabinets: split this one.")
    return tuple(_parse_unit(part, bare) for part in parts)


def _parse_unit(text: str, bare: str) -> Unit:
    tokens = normalized(text).split()
    begin = next((at for at, token in enumerate(tokens) if not token.isalpha()), len(tokens))
    end = len(tokens)
    while end > begin and tokens[end - 1].isalpha() and tokens[end - 1] not in _LENGTH_WORDS:
        end -= 1
    word = " ".join([*tokens[:begin], *tokens[end:]])
    kind = _BY_WORD.get(word, _BY_WORD.get(word.removesuffix("s"))) if word else UNIT_KINDS["cabinet"]
    if kind is None:
        known = ", ".join(each.words[0] for each in UNIT_KINDS.values())
        raise UnreadableUnits(
            f"“{shortened(word)}” isn't known here. Type a width, or one of these with it: {known}."
        )
    if begin == end:
        raise UnreadableUnits(
            f"Type how wide the {word} is, such as {word} {'60' if bare == 'cm' else '24'}."
        )
    try:
        return Unit(kind.code, parse_length(" ".join(tokens[begin:end]), bare))
    except UnreadableLength as error:
        raise UnreadableUnits(str(error)) from error


def set_in_run(units: Sequence[Unit], length_nm: int) -> tuple[PlacedUnit, ...]:
    """Place units one after another from the start of a run, with the filler that is left at its end.

    Where they are longer than the run, they go beyond its end.
    """
    return tuple(_set_in_run(units, length_nm))


def _set_in_run(units: Sequence[Unit], length_nm: int) -> Iterator[PlacedUnit]:
    reached = 0
    for unit in units:
        yield PlacedUnit(unit, reached)
        reached += unit.width_nm
    if length_nm - reached >= LEAST_FILLER_NM:
        yield PlacedUnit(Unit("filler", length_nm - reached), reached, left=True)


def pulls_of(unit: Unit, layer: str) -> int:
    """Return how many pulls a unit takes: one on each door and drawer; an appliance brings its own."""
    if not unit.traits.cabinet:
        return 0
    doors = 1 if unit.width_nm <= ONE_DOOR_NM else 2
    if unit.kind == "drawers":
        return DRAWERS
    if unit.kind == "oven":
        return 1 if layer == "base" else doors + 1  # a drawer under it; over it, in a tall one, doors
    if unit.kind == "corner":
        return 1
    if layer == "base":
        return doors if unit.traits.cut_out else doors + 1
    return doors * (2 if layer == "tall" else 1)


def width_in_words(width_nm: int, metric: bool = False) -> str:
    """Return a width as cabinets are sold: 36", 33-1/2", or 600 mm."""
    if metric:
        return f"{half_up(Fraction(width_nm, NM_PER_METER // 1000))} mm"
    inches, sixteenths = divmod(half_up(Fraction(16 * width_nm, NM_PER_INCH)), 16)
    part = str(Fraction(sixteenths, 16)) if sixteenths else ""
    return f'{"-".join(filter(None, [str(inches) if inches or not part else "", part]))}"'


def unit_in_words(unit: Unit, metric: bool = False) -> str:
    """Return such as 36" or dishwasher 24"."""
    word = "" if unit.kind == "cabinet" else f"{unit.traits.words[0]} "
    return f"{word}{width_in_words(unit.width_nm, metric)}"


def units_in_words(units: Sequence[Unit], metric: bool = False) -> str:
    return ", ".join(unit_in_words(unit, metric) for unit in units)


def units_typed(units: Sequence[Unit], metric: bool = False) -> str:
    """Return a list as it is typed, which reads back exactly: in millimeters where no tape has a width."""
    return ", ".join(
        f"{unit.traits.words[0]} {_exact(unit.width_nm, metric)}".removeprefix("cabinet ") for unit in units
    )


def _exact(width_nm: int, metric: bool) -> str:
    shown = width_in_words(width_nm, metric)
    return shown if parse_length(shown) == width_nm else f"{Decimal(width_nm).scaleb(-6):f} mm"
