"""Outlets, switches and ceiling lights where they are: how many, and what is wrong with their places."""

from collections import Counter
from collections.abc import Iterable, Iterator

from catalog.measures.lengths import format_length
from estimating.rooms.ceiling import Ceiling, is_inside
from estimating.rooms.outline import Outline, PlanError, wall_letter
from estimating.rooms.plan import ElectricalPlace, RoomPlan

WORDS = {"outlet": "outlet", "switch": "switch", "light": "ceiling light"}
_MANY = {"outlet": "outlets", "switch": "switches", "light": "ceiling lights"}


class MisplacedElectrical(PlanError):
    """A box or a light that isn't on its wall or on the ceiling."""


def counted(places: Iterable[ElectricalPlace]) -> tuple[int, int]:
    """Return how many boxes on walls are placed, and how many lights on the ceiling."""
    lights = [place.on_ceiling for place in places]
    return lights.count(False), lights.count(True)


def placed_in_words(places: Iterable[ElectricalPlace]) -> str:
    """Return how many of each kind are placed, such as "2 outlets, 1 switch"; empty for none."""
    found = Counter(place.kind for place in places)
    return ", ".join(
        f"{found[kind]} {word if found[kind] == 1 else _MANY[kind]}"
        for kind, word in WORDS.items()
        if found[kind]
    )


def electrical_faults(
    plan: RoomPlan, shape: Outline, ceiling: Ceiling | None, metric: bool
) -> Iterator[PlanError]:
    """Yield what is wrong with each place of a room whose walls are right.

    `ceiling` is None where it is one level plane, or has faults itself.
    """
    for number, place in enumerate(plan.electrical, start=1):
        top_nm = plan.height_nm
        if ceiling is not None and 0 <= place.wall < len(shape.lengths_nm):
            top_nm = int(ceiling.height_on_wall_nm(place.wall, place.along_nm))
        if fault := _fault(top_nm, shape, place, metric, f"electrical {number}"):
            yield fault


def _fault(top_nm: int, shape: Outline, place: ElectricalPlace, metric: bool, field: str) -> PlanError | None:
    if place.kind not in WORDS:
        return MisplacedElectrical("Choose an outlet, a switch or a ceiling light.", f"{field} kind")
    if not 0 <= place.wall < len(shape.lengths_nm):
        last = wall_letter(len(shape.lengths_nm) - 1)
        return MisplacedElectrical(f"Choose a wall of this room: they are A to {last}.", f"{field} wall")
    length_nm, what = shape.lengths_nm[place.wall], WORDS[place.kind]
    if not 0 <= place.along_nm <= length_nm:
        wall = f"wall {wall_letter(place.wall)}, which is {format_length(length_nm, metric)} long"
        return MisplacedElectrical(f"The {what} is beyond the end of {wall}.", f"{field} offset")
    if not place.on_ceiling and not 0 <= place.away_nm <= top_nm:
        height = format_length(top_nm, metric)
        return MisplacedElectrical(
            f"The {what} is above the ceiling, {height} high: type its height above the floor.",
            f"{field} away",
        )
    if place.on_ceiling and not is_inside(
        shape.beside(place.wall, place.along_nm, place.away_nm), shape.vertices
    ):
        return MisplacedElectrical(
            f"The {what} would be outside the room: type how far it is out from wall"
            f" {wall_letter(place.wall)}.",
            f"{field} away",
        )
    return None
