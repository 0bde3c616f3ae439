"""What boards and tile cover where the ceiling isn't one level plane, and in niches: true shapes, laid flat.

A wall is drawn as in `surfaces`. A sloped part of the ceiling is drawn as on the plan, stretched along its
slope. The faces of a soffit or a step stand side by side in one strip, and the faces of a niche are folded
open round its back, so that each is bought for as one surface.
"""

from collections.abc import Collection, Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby, pairwise
from math import isqrt
from typing import NamedTuple

from estimating.rooms.ceiling import Ceiling, Face
from estimating.rooms.plan import Opening
from estimating.sheet_layout.regions import Point, Ring
from estimating.sheet_layout.surface import Lines, Surface

_FINE = 10**15  # steps in which the stretch of a slope is counted


class Part(NamedTuple):
    """A surface with its code and name."""

    code: str
    name: str
    surface: Surface


def wall_ring(ceiling: Ceiling, wall: int) -> Ring:
    """Return the outline of a wall under its ceiling, x from the wall's start."""
    length = ceiling.shape.lengths_nm[wall]
    top: list[tuple[Fraction, Fraction]] = []
    for run in ceiling.tops[wall]:
        top += [(run.begin_nm, run.begin_height_nm), (run.end_nm, run.end_height_nm)]
    return _ring([(0, 0), (length, 0), *reversed(top)])


def mirrored(ring: Ring, length_nm: int) -> Ring:
    return tuple((length_nm - x, y) for x, y in ring)


def ceiling_parts(ceiling: Ceiling, holes: Sequence[Ring], joists: Lines | None = None) -> Iterator[Part]:
    """Yield every plane of the ceiling with these holes in the plan, the undersides of soffits last.

    Joists are taken to go on over level planes, and as rafters up those slopes that rise the way they run. Of
    others, and of soffits, which have a frame of their own, nothing is known.
    """
    planes = sorted(ceiling.plan_areas_nm2, key=lambda plane: (plane < 0, abs(plane)))
    spans = sum(plane >= 0 for plane in planes)
    for plane in planes:
        outer, inner = _outer_and_inner(ceiling.rings_of(plane))
        for number, ring in enumerate(outer, start=1):
            again = f"-{number}" if number > 1 else ""
            if plane < 0:
                code, name = (
                    f"ceiling-soffit{-plane}",
                    f"Underside of {ceiling.plan.soffits[-plane - 1].name}",
                )
            elif spans == 1:
                code, name = "ceiling", "Ceiling"
            else:
                code, name = f"ceiling-{plane + 1}", f"Ceiling, part {plane + 1}"
            rings = [tuple(_stretched(ceiling, plane, each)) for each in (ring, *inner, *holes)]
            surface = Surface(rings[0], tuple(rings[1:]), framing=_joists_over(ceiling, plane, joists))
            yield Part(code + again, name, surface)


def _joists_over(ceiling: Ceiling, plane: int, joists: Lines | None) -> Lines | None:
    if joists is None or plane < 0:
        return None
    dx, dy = ceiling.profile.toward
    up_the_slope = not (dx if joists.along == "y" else dy)
    return joists if up_the_slope or not ceiling.profile.slope_squared(plane) else None


def face_strips(ceiling: Ceiling, chosen: Collection[int], whole: bool) -> Iterator[Part]:
    """Yield the faces of the soffits along the chosen walls, and with all walls those of steps, in strips."""

    def strip_of(face: Face) -> tuple[int, int]:
        soffits = len(ceiling.plan.soffits)
        return (face.soffit, 0) if face.soffit is not None else (soffits, face.seam.source.number)

    for (soffit, bend), faces in groupby(ceiling.faces, key=strip_of):
        if soffit < len(ceiling.plan.soffits):
            planned = ceiling.plan.soffits[soffit]
            if planned.wall in chosen:
                yield Part(f"soffit-{soffit + 1}", f"Faces of {planned.name}", _strip(faces))
        elif whole:
            yield Part(f"step-{bend + 1}", "Step in the ceiling", _strip(faces))


def unfolded_niche(niche: Opening) -> Surface:
    """Return the faces of a niche, folded open round its back; one that stands on the floor has no sill."""
    wide, high, deep = niche.width_nm, niche.height_nm, niche.recess_nm
    low = deep if niche.sill_nm else 0
    left, right, top = deep, deep + wide, low + high
    ring: list[Point] = [(left, 0), (right, 0)]
    ring += [(right, low), (right + deep, low), (right + deep, top), (right, top), (right, top + deep)]
    ring += [(left, top + deep), (left, top), (0, top), (0, low), (left, low)]
    if not niche.sill_nm:
        ring = ring[3:-2] + [(0, 0)]
    return Surface(tuple(ring))


def _strip(faces: Iterable[Face]) -> Surface:
    """Stand faces side by side on their lower edges, each from its far end as its seam is measured."""
    bottom, top = Fraction(0), []
    for face in faces:
        heights = [high - low for low, high in zip(face.low_nm, face.high_nm, strict=True)]
        if face.seam.along_nm[0] < face.seam.along_nm[1]:
            heights.reverse()
        top += [(bottom, heights[0]), (bottom + face.seam.length_nm, heights[1])]
        bottom += face.seam.length_nm
    return Surface(_ring([(0, 0), (bottom, 0), *reversed(top)]), level=True)


def _ring(points: Iterable[tuple[Fraction | int, Fraction | int]]) -> Ring:
    """Return points in whole nanometers, none twice in a row."""
    whole = [(round(x), round(y)) for x, y in points]
    return tuple(point for point, after in pairwise((*whole, whole[0])) if point != after)


def _outer_and_inner(rings: Sequence[Ring]) -> tuple[list[Ring], list[Ring]]:
    """Part the outlines of a plane from the holes in it, which run the other way round."""
    outer = [ring for ring in rings if _doubled_area(ring) > 0]
    return outer, [ring for ring in rings if _doubled_area(ring) < 0]


def _doubled_area(ring: Ring) -> int:
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in pairwise((*ring, ring[0])))


def _stretched(ceiling: Ceiling, plane: int, ring: Ring) -> Iterator[Point]:
    """Yield a ring on the plan as it is along the slope of a plane; turned to the slope where that slants."""
    slope = ceiling.profile.slope_squared(plane) if plane >= 0 else Fraction(0)
    if not slope:
        yield from ring
        return
    stretch = Fraction(isqrt(int((1 + slope) * _FINE**2)), _FINE)
    dx, dy = ceiling.profile.toward
    size = Fraction(isqrt((dx * dx + dy * dy) * _FINE**2), _FINE)
    for x, y in ring:
        if not dy:
            yield round(x * stretch), y
        elif not dx:
            yield x, round(y * stretch)
        else:
            yield round((x * dx + y * dy) / size * stretch), round((y * dx - x * dy) / size)
