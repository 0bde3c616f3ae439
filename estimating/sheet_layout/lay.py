"""Sheets laid on a surface as an installer would: whole pieces, offcuts used again, no four corners meeting.

`lay` finds a layout, or draws one whose courses and first pieces are given. It is exact on whole
nanometers, and gives the same layout for the same input.
"""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Literal

from catalog.measures.lengths import format_length
from estimating.sheet_layout.candidates import Side, Trial
from estimating.sheet_layout.courses import Course, Framing, Ground, close_joints, courses, cut_course, strips
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences, Parts
from estimating.sheet_layout.packing import THOROUGH, Packing, pack
from estimating.sheet_layout.pieces import cells, cut_sizes, joints, parts_of, place
from estimating.sheet_layout.regions import area, bounds, perimeter, shrink
from estimating.sheet_layout.rules import BACKER_BOARD, CannotLay, SheetRules, check_rules
from estimating.sheet_layout.search import BEST, FIRST, Bound, search, unlike
from estimating.sheet_layout.surface import Axis, Lines, Surface, View, length_around, region_of, view_of

MOST_SHEETS = 2_000
MOST_FASTENERS = 500_000
STRIPS_IN_A_SHEET = 6  # strips that stand for an oblique surface, in the width of a sheet
NOTHING = Packing((), ())
ANYHOW = LayoutPreferences()


def lay(
    surface: Surface,
    sheet: Sheet,
    rules: SheetRules = BACKER_BOARD,
    *,
    fixed: FixedLayout | None = None,
    preferences: LayoutPreferences = ANYHOW,
    effort: Literal["first", "best"] = "best",
) -> Layout:
    """Lay a surface: by search within the preferences, or exactly as `fixed` says.

    A fixed layout is drawn even where it breaks a rule; `sheet_warnings` says so. "first" looks at the
    natural layouts only, a tenth of the work of "best". Raises CannotLay with a plain sentence where
    there is no layout.
    """
    check_rules(sheet, rules)
    if fixed:
        view = view_of(fixed.courses_along, fixed.corner)
        ground = replace(_ground(surface, sheet, rules, view), trimmed=fixed.trimmed)
        if max(fixed.first_pieces_nm, default=0) > ground.reach:
            raise CannotLay("A first piece is longer than sheets cut to end on studs are.")
        return _drawn(surface, ground, view, fixed)
    sides = _sides(surface, sheet, rules, preferences)
    bound = Bound(lower_bound(sides[0].ground), min(_least_pieces(side.ground) for side in sides))
    found = search(sides, FIRST, bound)
    if effort == "best":
        found = search(sides, BEST, bound, found)
    side = found.trial.side
    return _drawn(surface, side.ground, side.view, _given(found.trial, preferences), found.packing)


def near_equals(
    surface: Surface, sheet: Sheet, rules: SheetRules, preferences: LayoutPreferences, most: int
) -> list[tuple[FixedLayout, Parts]]:
    """Return a few layouts with as few faults and nearly as few pieces as any, no two cut into the same.

    What they take by themselves isn't looked at: they are for cutting the sheets of many surfaces together.
    Each comes with its pieces in the order of laying.
    """
    check_rules(sheet, rules)
    found = []
    for trial in unlike(_sides(surface, sheet, rules, preferences), FIRST, most):
        ground, given = trial.side.ground, _given(trial, preferences)
        laid = courses(ground, given.first_width_nm)
        found.append(
            (given, parts_of(ground, trial.side.view, laid, cells(ground, laid, given.first_pieces_nm)))
        )
    return found


def _given(trial: Trial, preferences: LayoutPreferences) -> FixedLayout:
    along: Axis = "y" if trial.side.view.swap else "x"
    return FixedLayout(along, trial.first_width, trial.firsts, preferences.corner, trial.side.ground.trimmed)


def _sides(surface: Surface, sheet: Sheet, rules: SheetRules, preferences: LayoutPreferences) -> list[Side]:
    """Return the surface as it may be looked at, from either axis.

    Sheets that may not be turned run across what they are fastened to, or along x.
    """
    if preferences.first_width_nm is not None:
        _check_starts(sheet, preferences.first_width_nm, ())
    if preferences.first_piece_nm is not None:
        _check_starts(sheet, 1, (preferences.first_piece_nm,))
    upright = surface.framing is not None and surface.framing.along == "x"
    axes: tuple[Axis, ...] = ("x", "y") if rules.may_turn else ("y",) if upright else ("x",)
    axes = (preferences.courses_along,) if preferences.courses_along else axes
    sides = []
    for axis in axes:
        view = view_of(axis, preferences.corner)
        ground = _ground(surface, sheet, rules, view)
        for trimmed in (True, False) if _may_trim(ground) else (False,):
            seen = replace(ground, trimmed=trimmed)
            if (preferences.first_piece_nm or 0) > seen.reach:
                continue
            sides.append(Side(view, seen, preferences.first_width_nm, preferences.first_piece_nm))
    return sides


def _may_trim(ground: Ground) -> bool:
    """Tell whether joints along a course stay on studs only where sheets are cut shorter."""
    framing, whole = ground.framing, ground.long + ground.rules.gap_nm
    return bool(framing and framing.across and whole % framing.spacing and whole > framing.spacing)


def lower_bound(ground: Ground) -> int:
    """Return a count of sheets that no layout can do without, the kerf being no less than the gap; else 1.

    A piece with the gap beside it takes (w + gap)(h + gap), and all that one sheet gives, at most what it
    takes itself. Only surface that lies in a gap beside an edge escapes, at most half the gap times the
    perimeter; none of a rectangle.
    """
    gap = ground.rules.gap_nm
    if ground.rules.kerf_nm < gap:
        return 1
    return max(1, -(-_needed_twice(ground) // (2 * (ground.long + gap) * (ground.short + gap))))


def _least_pieces(ground: Ground) -> int:
    """Return a count of pieces that no layout seen from this side can do without."""
    left, low, right, high = ground.box
    gap = ground.rules.gap_nm
    if len(ground.region) == len(ground.region[0].runs) == 1:
        return -(-(right - left + gap) // ground.period) * -(-(high - low + gap) // (ground.short + gap))
    return -(-area(ground.region) // (ground.long * ground.short))


def _needed_twice(ground: Ground) -> int:
    """Return twice the area of pieces with their gaps that a surface takes at least."""
    gap, region = ground.rules.gap_nm, ground.region
    escaping = 0 if len(region) == len(region[0].runs) == 1 else gap * perimeter(region)
    return max(0, 2 * area(region) - escaping)


def _ground(surface: Surface, sheet: Sheet, rules: SheetRules, view: View) -> Ground:
    """Return the surface in a view, less its perimeter gap. Raises CannotLay where nothing is left."""
    whole = region_of(surface, view, _strip_nm(sheet))
    region = shrink(whole, rules.perimeter_gap_nm)
    if not region:
        raise CannotLay("The surface has no room for a sheet between the gaps along its edges.")
    left, low, right, high = bounds(region)
    if (right - left) * (high - low) > MOST_SHEETS * sheet.length_nm * sheet.width_nm:
        raise CannotLay(f"That takes more than {MOST_SHEETS:,} sheets: check the sizes of surface and sheet.")
    if (right - left) * (high - low) > MOST_FASTENERS * rules.fastener_spacing_nm**2:
        raise CannotLay(f"That takes more than {MOST_FASTENERS:,} fasteners: allow them farther apart.")
    slants = surface.level and not surface.rectilinear
    rings = (surface.ring, *surface.holes) if slants else ()
    vertices = tuple(view.see(point) for ring in rings for point in ring)
    framing, clear_of = (_seen(lines, surface, view) for lines in (surface.framing, surface.clear_of))
    return Ground(region, sheet, rules, not surface.rectilinear, vertices, framing, clear_of=clear_of)


def _seen(lines: Lines | None, surface: Surface, view: View) -> Framing | None:
    """Return studs or joists as they are seen; None where they aren't known, or the view is turned."""
    if lines is None or surface.bearing != (1, 0):
        return None
    at, spacing, along = lines
    across = (along == "y") != view.swap
    return Framing(view.see((at, at))[not across], spacing, across)


def _strip_nm(sheet: Sheet) -> int:
    return max(1, min(sheet.length_nm, sheet.width_nm) // STRIPS_IN_A_SHEET)


def _drawn(
    surface: Surface, ground: Ground, view: View, given: FixedLayout, packing: Packing | None = None
) -> Layout:
    """Return the layout of a plan; its pieces are packed here unless they have been."""
    rules, firsts = ground.rules, given.first_pieces_nm
    laid = _given_courses(ground, given)
    cuts = [cut_course(ground, course, first) for course, first in zip(laid, firsts, strict=True)]
    boxes = cells(ground, laid, firsts)
    sizes = cut_sizes(ground, boxes)
    pieces, straight = place(
        ground, view, boxes, packing or pack(sizes, ground.stock, len(sizes), THOROUGH) or NOTHING
    )
    board = sum(piece.area_nm2 for piece in pieces)
    finer = rules.kerf_nm < rules.gap_nm
    whole = region_of(surface, view, _strip_nm(ground.sheet))
    return Layout(
        surface=surface,
        sheet=ground.sheet,
        rules=rules,
        given=given,
        pieces=pieces,
        parts=parts_of(ground, view, laid, boxes),
        cuts=straight,
        joints=joints(ground, view, laid, firsts),
        area_nm2=area(whole),
        usable_nm2=area(ground.region),
        perimeter_nm=perimeter(whole) if surface.rectilinear else length_around(surface),
        lower_bound=-(-board // (ground.long * ground.short)) if finer else lower_bound(ground),
        needed_nm2=board if finer else _needed_twice(ground) // 2,
        close_joints=sum(close_joints(ground, *pair) for pair in pairwise(cuts)),
        near_corners=strips(ground, laid).near_corners + sum(cut.near_corners for cut in cuts),
    )


def _given_courses(ground: Ground, given: FixedLayout) -> tuple[Course, ...]:
    """Return the courses of a given layout. Raises CannotLay where this sheet can't give them."""
    _check_starts(ground.sheet, given.first_width_nm, given.first_pieces_nm)
    laid = courses(ground, given.first_width_nm)
    if len(given.first_pieces_nm) != len(laid):
        raise CannotLay(
            f"These courses need {len(laid)} first pieces, one each, not {len(given.first_pieces_nm)}."
        )
    return laid


def _check_starts(sheet: Sheet, first_width_nm: int, first_pieces_nm: Sequence[int]) -> None:
    long, short = max(sheet.length_nm, sheet.width_nm), min(sheet.length_nm, sheet.width_nm)
    if not 0 < first_width_nm <= short:
        raise CannotLay(
            f"The first course must be more than zero and at most {format_length(short)} wide, the width of"
            " a sheet."
        )
    if not all(0 < first <= long for first in first_pieces_nm):
        raise CannotLay(
            f"The first piece of a course must be more than zero and at most {format_length(long)} long, the"
            " length of a sheet."
        )
