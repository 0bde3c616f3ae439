"""A room to try an assembly on, made from a quantity of the assembly's own measure."""

from collections.abc import Mapping
from fractions import Fraction

from catalog.measures.room_measures import MEASURES, MeasureSet, square_room

HEIGHT_FT = Fraction(8)
USUAL_SQFT = Fraction(100)
AROUND = frozenset({"floor_perimeter", "ceiling_line", "base"})


def trial_room(measure: str, amount: Fraction) -> tuple[MeasureSet, Fraction]:
    """Return the measures of a square room, 8 ft high, with this much of one measure, and its floor in sq ft.

    A measure that says nothing about the size of the room goes with a floor of 100 sq ft. Of each measure
    that a square room doesn't give (doors, sheets, feet of joint) there is one. All but the amount given is
    marked as estimated.
    """
    floor_sqft = _floor_sqft(measure, amount)
    room = square_room(floor_sqft, HEIGHT_FT)
    ones = {code: Fraction(1) for code in MEASURES if code != "wall_net" and not room.has(code)}
    given = {"wall_gross" if measure == "wall_net" else measure: amount}
    return _estimated(room.with_values(ones), given), floor_sqft


def _estimated(room: MeasureSet, given: Mapping[str, Fraction]) -> MeasureSet:
    return MeasureSet({**room.values, **given}, room.openings_sqft, frozenset(room.values) - frozenset(given))


def _floor_sqft(measure: str, amount: Fraction) -> Fraction:
    if measure in ("floor", "ceiling", "area"):
        return amount
    if measure in AROUND:
        return (amount / 4) ** 2
    if measure in ("wall_gross", "wall_net"):
        return (amount / HEIGHT_FT / 4) ** 2
    return USUAL_SQFT
