"""The pieces of a room that are cut from sticks: base and shoe, crown, casing, bead and furring."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import accumulate, groupby

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.rooms.ceiling import Ceiling, Face, ceiling_over, is_level
from estimating.rooms.outline import Outline, wall_letter
from estimating.rooms.plan import Opening, RoomPlan, room_outline


class CannotCut(ValueError):
    """These sticks can't yield these pieces; the message says why in a plain sentence."""


@dataclass(frozen=True)
class StickRules:
    """How pieces are measured and joined, in nanometers.

    - kerf_nm, lost in a cut: 1/8 in, the blade of a miter saw (common practice).
    - casing_width_nm, which a miter adds to the longer side of casing: 2-1/4 in, where the stock's own
      width isn't known (common practice). Reveals are not added: casing is measured as the opening is.
    - crown_width_nm, the same for a crown round an outside corner: 3-5/8 in (common practice); a crown
      leans, so that its whole width is the most that it can need.
    - corner_nm, which a miter round an outside corner adds to what stands flat on the wall, base or
      shoe: its thickness, 3/4 in at most (common practice).
    - scarf_nm, by which two parts of a run lie over each other: 3/4 in, a cut of 45 degrees through
      the thickness (common practice).
    - least_part_nm, least part of a joined run: 32 in, two stud spaces (common practice).
    """

    kerf_nm: int = NM_PER_INCH // 8
    casing_width_nm: int = 9 * NM_PER_INCH // 4
    crown_width_nm: int = 29 * NM_PER_INCH // 8
    corner_nm: int = 3 * NM_PER_INCH // 4
    scarf_nm: int = 3 * NM_PER_INCH // 4
    least_part_nm: int = 32 * NM_PER_INCH

    def with_width(self, width_nm: int | None) -> "StickRules":
        """Return these rules for stock of a known width."""
        if width_nm is None:
            return self
        return replace(self, casing_width_nm=width_nm, crown_width_nm=width_nm)


USUAL = StickRules()


@dataclass(frozen=True)
class Piece:
    """A piece to be cut: its length at the longest point, and where it belongs.

    `may_join`: where it is longer than any stick it may be put together from parts; casing never is.
    """

    length_nm: int
    where: str
    room: str = ""
    may_join: bool = False

    def in_words(self, metric: bool = False) -> str:
        place = f"{self.room}: {self.where}" if self.room else self.where
        return f"{place}, {format_length(self.length_nm, metric)}"


@lru_cache(maxsize=1024)
def pieces_of(
    measure: str, plan: RoomPlan, walls: frozenset[int] | None = None, rules: StickRules = USUAL
) -> tuple[Piece, ...]:
    """Return the pieces that a measure of a room stands for, on all of its walls or some.

    The plan must be one that can be measured. Raises CannotCut for a measure that isn't made of pieces.
    """
    if measure not in _PIECES:
        raise CannotCut("This isn't measured in runs, openings or corners, so it has no pieces.")
    every = frozenset(range(len(plan.legs)))
    chosen = every if walls is None else walls & every
    return tuple(piece for piece in _PIECES[measure](plan, chosen, rules) if piece.length_nm > 0)


def in_parts(piece: Piece, longest_nm: int, rules: StickRules = USUAL) -> tuple[Piece, ...]:
    """Cut a piece into parts that sticks of this length yield; return it whole where it fits.

    As few parts as can be, whole sticks but for the last, which takes from the one before it where it
    would be less than the least part. They lie so that the joints keep from the middle of the run as far
    as they can. Raises CannotCut where the piece may not be joined.
    """
    if piece.length_nm <= longest_nm:
        return (piece,)
    if not piece.may_join or longest_nm <= rules.scarf_nm:
        raise CannotCut(
            f"{piece.in_words()}, is longer than the longest stick, {format_length(longest_nm)}, and isn't"
            " pieced together. Add a longer stick to the material."
        )
    joints = -(-(piece.length_nm - longest_nm) // (longest_nm - rules.scarf_nm))
    last = piece.length_nm + joints * rules.scarf_nm - joints * longest_nm
    given = max(0, min(rules.least_part_nm - last, (longest_nm - last) // 2))
    lengths = [*[longest_nm] * (joints - 1), longest_nm - given, last + given]
    turned = (lengths[place:] + lengths[:place] for place in range(len(lengths)))
    best = max(turned, key=_joints_from_middle)
    return tuple(
        replace(piece, length_nm=length, where=f"{piece.where}, part {number} of {len(best)}")
        for number, length in enumerate(best, start=1)
    )


def _joints_from_middle(lengths: list[int]) -> int:
    joints = list(accumulate(lengths))
    return min(abs(2 * joint - joints[-1]) for joint in joints[:-1])


def _base(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    """Yield the runs of base between doors, cased openings and fixed things, wall by wall."""
    shape = room_outline(plan)
    for wall in sorted(chosen):
        length = shape.lengths_nm[wall]
        standing = _standing(plan, wall, length)
        for start, end in _gaps(standing, length):
            before = next((name for _, at, name in standing if at == start), "corner")
            after = next((name for at, _, name in standing if at == end), "corner")
            where = f"wall {wall_letter(wall)}"
            if (start, end) != (0, length):
                where += f", {before} to {after}"
            miters = (start == 0) * _outside(shape, wall - 1) + (end == length) * _outside(shape, wall)
            yield Piece(end - start + miters * rules.corner_nm, where, plan.name, may_join=True)
    yield from _round_niches(plan, chosen, rules.corner_nm)
    yield from _round_columns(plan, chosen, rules.corner_nm)


def _whole_walls(plan: RoomPlan, chosen: frozenset[int], miter_nm: int) -> Iterator[Piece]:
    shape = room_outline(plan)
    for wall in sorted(chosen):
        miters = _outside(shape, wall - 1) + _outside(shape, wall)
        length = shape.lengths_nm[wall] + miters * miter_nm
        yield Piece(length, f"wall {wall_letter(wall)}", plan.name, may_join=True)
    yield from _round_columns(plan, chosen, miter_nm)


def _ceiling(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    if is_level(plan):
        yield from _whole_walls(plan, chosen, rules.crown_width_nm)
        return
    ceiling, miter = ceiling_over(plan), rules.crown_width_nm
    for wall in sorted(chosen):
        runs = ceiling.tops[wall]
        for number, run in enumerate(runs, start=1):
            miters = (run is runs[0]) * _outside(ceiling.shape, wall - 1)
            miters += (run is runs[-1]) * _outside(ceiling.shape, wall)
            where = f"wall {wall_letter(wall)}" + (f", part {number}" if len(runs) > 1 else "")
            yield Piece(round(run.length_nm) + miters * miter, where, plan.name, may_join=True)
    for name, faces in _faces(ceiling, chosen):
        for number, face in enumerate(faces, start=1):
            miters = (number > 1) + (number < len(faces)) if face.soffit is not None else 0
            where = f"{name}, side {number}"
            yield Piece(round(face.upper_edge_nm) + miters * miter, where, plan.name, may_join=True)
    yield from _round_columns(plan, chosen, miter)


def _faces(ceiling: Ceiling, chosen: frozenset[int]) -> Iterator[tuple[str, list[Face]]]:
    """Yield the faces of every soffit along the chosen walls, and with all walls those of steps."""
    whole = len(chosen) == len(ceiling.shape.lengths_nm)
    for soffit, faces in groupby(ceiling.faces, key=lambda face: face.soffit):
        if soffit is None:
            if whole:
                yield "step in the ceiling", list(faces)
        elif ceiling.plan.soffits[soffit].wall in chosen:
            yield ceiling.plan.soffits[soffit].name, list(faces)


def _floor(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    yield from _whole_walls(plan, chosen, rules.corner_nm)
    yield from _round_niches(plan, chosen, rules.corner_nm)


def _round_niches(plan: RoomPlan, chosen: frozenset[int], miter_nm: int) -> Iterator[Piece]:
    """Yield the two sides of niches that stand on the floor; their backs count with the wall."""
    for opening in plan.openings:
        if opening.is_niche and opening.runs_in_nm and opening.wall in chosen:
            for side in ("left side", "right side"):
                where = f"{opening.name}, {side}"
                yield Piece(opening.runs_in_nm + miter_nm, where, plan.name, may_join=True)


def _round_columns(plan: RoomPlan, chosen: frozenset[int], miter_nm: int) -> Iterator[Piece]:
    """Yield four sides of each column, mitered at both ends; a column counts only with all walls."""
    for number, column in enumerate(plan.columns if len(chosen) == len(plan.legs) else (), start=1):
        for side, length in enumerate((column.width_nm, column.depth_nm) * 2, start=1):
            where = f"column {number}, side {side}"
            yield Piece(length + 2 * miter_nm, where, plan.name, may_join=True)


def _casing(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    """Yield two legs and a head where the opening reaches the floor, else four mitered sides."""
    width = rules.casing_width_nm
    for opening in plan.openings:
        if opening.is_niche or opening.wall not in chosen:
            continue
        name = opening.name
        head = opening.width_nm + 2 * width
        if opening.stops_base:
            leg = opening.height_nm + width
            sizes = [("left leg", leg), ("right leg", leg), ("head", head)]
        else:
            side = opening.height_nm + 2 * width
            sizes = [("left side", side), ("right side", side), ("head", head), ("bottom", head)]
        for part, length in sizes:
            yield Piece(length, f"{name}, {part}", plan.name)


def _corners(plan: RoomPlan, chosen: frozenset[int], outside: bool) -> Iterator[Piece]:
    """Yield one piece at each corner between chosen walls, in and at niches, and overhead."""
    shape, count = room_outline(plan), len(plan.legs)
    level = is_level(plan)
    places = [
        (f"corner {wall_letter(wall)}-{wall_letter((wall + 1) % count)}", plan.height_nm)
        for wall in (range(count) if level else ())
        if {wall, (wall + 1) % count} <= chosen and shape.corner(wall) == (-1 if outside else 1)
    ]
    if not level:
        places += _overhead_corners(ceiling_over(plan), chosen, outside)
    for opening in plan.openings:
        if opening.is_niche and opening.wall in chosen:
            places += _niche_corners(opening, outside)
    if outside and len(chosen) == count:
        numbers = range(1, len(plan.columns) + 1)
        places += [
            (f"column {number}, corner {corner}", plan.height_nm)
            for number in numbers
            for corner in range(1, 5)
        ]
    for where, length_nm in places:
        yield Piece(length_nm, where, plan.name, may_join=True)


def _overhead_corners(ceiling: Ceiling, chosen: frozenset[int], outside: bool) -> Iterator[tuple[str, int]]:
    """Yield the corners of walls under any ceiling, those of soffits and steps, and the ceiling's bends."""
    whole = len(chosen) == len(ceiling.shape.lengths_nm)
    for run in ceiling.corners:
        if run.outside == outside and all(
            whole if owner is None else owner in chosen for owner in run.owners
        ):
            yield f"corner {run.where}", round(run.length_nm)
    for name, faces in _faces(ceiling, chosen) if outside else ():
        for number, face in enumerate(faces, start=1):
            yield f"{name}, lower edge {number}", round(face.lower_edge_nm)
    for number, (stands_out, length) in enumerate(ceiling.bends if whole else (), start=1):
        if stands_out == outside:
            yield f"bend {number} of the ceiling", round(length)


def _niche_corners(niche: Opening, outside: bool) -> Iterator[tuple[str, int]]:
    """Yield the edges of a niche in its wall, or the corners in it."""
    above_floor = niche.sill_nm > 0
    place = niche.name if outside else f"{niche.name}, back"
    yield f"{place}, left side", niche.height_nm
    yield f"{place}, right side", niche.height_nm
    yield f"{place}, head", niche.width_nm
    if above_floor:
        yield f"{place}, sill", niche.width_nm
    for number in range(0 if outside else 4 if above_floor else 2):
        yield f"{niche.name}, corner {number + 1} into the wall", niche.recess_nm


def _outside_corners(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    return _corners(plan, chosen, outside=True)


def _inside_corners(plan: RoomPlan, chosen: frozenset[int], rules: StickRules) -> Iterator[Piece]:
    return _corners(plan, chosen, outside=False)


_PIECES: Mapping[str, Callable[[RoomPlan, frozenset[int], StickRules], Iterator[Piece]]] = {
    "base": _base,
    "floor_perimeter": _floor,
    "ceiling_line": _ceiling,
    "opening_trim": _casing,
    "outside_corner": _outside_corners,
    "inside_corner": _inside_corners,
}

_Stretch = tuple[int, int, str]


def _outside(shape: Outline, wall: int) -> bool:
    """Tell whether the corner after this wall stands out into the room, so that runs are mitered round it.

    In inside corners one piece butts on the wall and the next is coped to it: neither grows.
    """
    return shape.corner(wall) < 0


def _standing(plan: RoomPlan, wall: int, length_nm: int) -> list[_Stretch]:
    """Return the places along a wall where base stops, and what stands there.

    What has an offset stands there. Openings without one are spread evenly over the wall, and fixed
    things without one begin where the one before ended, as the plan is drawn. What would stand on
    something else is pushed on along the wall, so that no base is lost or gained by it.
    """
    taken: list[_Stretch] = []
    fixed: list[tuple[int, int, str]] = []
    loose: list[tuple[int, int, str]] = []
    for opening, begin in _openings(plan, wall, length_nm):
        if opening.stops_base:
            known = opening.offset_nm is not None
            (fixed if known else loose).append((begin, opening.width_nm, opening.name))
    reached = 0
    for item in (footprint for footprint in plan.footprints if footprint.wall == wall):
        begin = reached if item.offset_nm is None else item.offset_nm
        reached = begin + item.length_nm
        if item.off_base:
            (loose if item.offset_nm is None else fixed).append((begin, item.length_nm, item.name))
    for begin, width, name in fixed + loose:
        for least in (begin, 0):
            for start, end in list(_gaps(taken, length_nm)):
                start = max(start, least)
                part = min(width, end - start)
                if part > 0:
                    taken = sorted([*taken, (start, start + part, name)])
                    width -= part
    return taken


def _openings(plan: RoomPlan, wall: int, length_nm: int) -> Iterator[tuple[Opening, int]]:
    """Yield the openings of a wall and where each begins, with even gaps between those without an offset."""
    here = [opening for opening in plan.openings if opening.wall == wall]
    loose = [opening.width_nm for opening in here if opening.offset_nm is None]
    gap = max(0, length_nm - sum(loose)) // (len(loose) + 1)
    reached = 0
    for opening in here:
        begin = opening.offset_nm
        if begin is None:
            begin = reached + gap
            reached = begin + opening.width_nm
        yield opening, begin


def _gaps(taken: list[_Stretch], length_nm: int) -> Iterator[tuple[int, int]]:
    reached = 0
    for start, end, _ in taken:
        if start > reached:
            yield reached, start
        reached = max(reached, end)
    if reached < length_nm:
        yield reached, length_nm
