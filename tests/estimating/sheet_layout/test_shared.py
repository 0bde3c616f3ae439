"""Sheets shared by many surfaces, judged by a validator that knows nothing of how they were packed."""

import random
from collections.abc import Iterator

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay, near_equals
from estimating.sheet_layout.layout import LayoutPreferences, Part
from estimating.sheet_layout.packing import Stock
from estimating.sheet_layout.regions import Box
from estimating.sheet_layout.rules import DRYWALL_WALL
from estimating.sheet_layout.shared import (
    BEST,
    FIRST,
    Choice,
    Shared,
    Work,
    alone,
    cuts_of,
    hosts,
    share,
    turned,
)
from tests.estimating.sheet_layout.sheet_rooms import rectangle
from tests.estimating.sheet_layout.validate import validate

IN = NM_PER_INCH
DRYWALL = Sheet(96 * IN, 48 * IN, IN // 2)
SNAPPED = Stock(96 * IN, 48 * IN, 0, may_turn=False)
SAWN = Stock(60 * IN, 36 * IN, IN // 8, may_turn=True)
Corners = tuple[int, int, int, int]


def faults(surfaces: tuple[tuple[Choice, ...], ...], stock: Stock, shared: Shared) -> Iterator[str]:
    parts = [part for ways, at in zip(surfaces, shared.chosen, strict=True) for part in ways[at].parts]
    placed = sorted(laid.part for sheet in shared.plan for laid in sheet)
    if placed != list(range(len(parts))):
        yield "A part isn't cut once."
    for sheet in shared.plan:
        boxes = []
        for laid in sheet:
            along, over, edge, _ = parts[laid.part]
            if laid.turned and not stock.may_turn:
                yield "A part is turned."
            w, h = (over, along) if laid.turned else (along, over)
            box = (laid.x, laid.y, laid.x + w, laid.y + h)
            boxes.append(box)
            if min(box) < 0 or box[2] > stock.length or box[3] > stock.width:
                yield "A part reaches beyond its sheet."
            if edge and box[1] > 0 and box[3] < stock.width:
                yield "A part that needs a tapered edge is cut from the middle."
        if not parted(boxes, stock.kerf):
            yield "Straight cuts don't part a sheet."
        for cut in cuts_of(sheet, stock.kerf):
            across = (cut.x, cut.y, cut.x + cut.length, cut.y + stock.kerf)
            if not cut.lengthwise:
                across = (cut.x, cut.y, cut.x + stock.kerf, cut.y + cut.length)
            if any(overlap(across, box) for box in boxes):
                yield "A cut runs through a piece."


def overlap(one: Corners, other: Corners) -> bool:
    return max(one[0], other[0]) < min(one[2], other[2]) and max(one[1], other[1]) < min(one[3], other[3])


def parted(boxes: list[Corners], kerf: int) -> bool:
    for axis in (0, 1):
        for edge in {box[axis + 2] for box in boxes}:
            before = [box for box in boxes if box[axis + 2] <= edge]
            after = [box for box in boxes if box[axis] >= edge + kerf]
            if after and len(before) + len(after) == len(boxes):
                return parted(before, kerf) and parted(after, kerf)
    return len(boxes) <= 1


def some_surfaces(seed: int, stock: Stock) -> tuple[tuple[Choice, ...], ...]:
    draw = random.Random(seed)

    def part() -> Part:
        along, over = draw.randint(6, stock.length // IN) * IN, draw.randint(6, stock.width // IN) * IN
        return Part(along, over, not stock.may_turn and draw.random() < 0.4)

    def choice() -> Choice:
        return Choice(draw.randint(0, 2), tuple(part() for _ in range(draw.randint(0, 4))))

    return tuple(tuple(choice() for _ in range(draw.randint(1, 3))) for _ in range(draw.randint(1, 7)))


@pytest.mark.parametrize("stock", [SNAPPED, SAWN], ids=["snapped", "sawn"])
@pytest.mark.parametrize("work", [FIRST, BEST._replace(repacks=150)], ids=["first", "best"])
def test_every_part_is_cut_once_by_straight_cuts_and_no_plan_takes_more_than_each_alone(
    stock: Stock, work: Work
) -> None:
    for seed in range(25):
        surfaces = some_surfaces(seed, stock)
        shared = share(surfaces, stock, work, 1)
        assert list(faults(surfaces, stock, shared)) == []
        chosen = [ways[at] for ways, at in zip(surfaces, shared.chosen, strict=True)]
        sheets = len(shared.plan) + sum(choice.whole for choice in chosen)
        assert sheets <= sum(alone(ways[0], stock) for ways in surfaces)
        sizes = [(part.along, part.over) for choice in chosen for part in choice.parts]
        assert len(shared.plan) >= stock.least(sizes)


def fewest(lengths: list[int], room: int) -> int:
    """How many sheets strips across the whole width take, by trying every way to share them out."""
    best = len(lengths)

    def put(at: int, left: list[int]) -> None:
        nonlocal best
        if len(left) >= best:
            return
        if at == len(lengths):
            best = len(left)
            return
        for sheet in range(len(left)):
            if left[sheet] >= lengths[at]:
                put(at + 1, [*left[:sheet], left[sheet] - lengths[at], *left[sheet + 1 :]])
        put(at + 1, [*left, room - lengths[at]])

    put(0, [])
    return best


def test_strips_of_many_surfaces_take_the_fewest_sheets_that_any_way_does() -> None:
    for seed in range(15):
        draw = random.Random(seed)
        lengths = [draw.randint(10, 80) for _ in range(9)]
        surfaces = tuple((Choice(0, (Part(length * IN, 48 * IN, False),)),) for length in lengths)
        proven = fewest(lengths, 96)
        assert len(share(surfaces, SNAPPED, BEST, proven).plan) == proven


def test_a_rip_that_meets_its_neighbor_keeps_an_edge_of_its_sheet() -> None:
    # three rips of 16 in come out of a sheet, but only two of them have one of its two tapered edges
    rip = Part(96 * IN, 16 * IN, True)
    surfaces = tuple((Choice(0, (rip,)),) for _ in range(3))
    assert len(share(surfaces, SNAPPED, BEST, 1).plan) == 2
    free = (*surfaces[:2], (Choice(0, (rip._replace(edge=False),)),))
    assert len(share(free, SNAPPED, BEST, 1).plan) == 1


def test_what_falls_out_of_a_notched_piece_serves_what_is_hung_after_it() -> None:
    # a whole sheet with 36 x 32 in out of its lower edge, and a piece of 36 x 32 in: one sheet, if it's later
    notched = Part(96 * IN, 48 * IN, False, (Box(20 * IN, 0, 56 * IN, 32 * IN),))
    small = Part(36 * IN, 32 * IN, False)
    hung = ((Choice(0, (notched,)),), (Choice(0, (small,)),))
    shared = share(hung, SNAPPED, BEST, 1)
    assert [[(laid.part, laid.x, laid.y) for laid in sheet] for sheet in shared.plan] == [
        [(0, 0, 0), (1, 20 * IN, 0)]
    ]
    assert hosts(shared.plan[0]) == {1: 0}
    assert cuts_of(shared.plan[0], 0) == ()
    assert len(share(hung[::-1], SNAPPED, BEST, 1).plan) == 2
    # a piece that meets its neighbor finds a tapered edge at the lower side, and none in a hole farther in
    rip = (hung[0], (Choice(0, (small._replace(edge=True),)),))
    assert len(share(rip, SNAPPED, BEST, 1).plan) == 1
    window = notched._replace(cutouts=(Box(20 * IN, 8 * IN, 56 * IN, 40 * IN),))
    assert len(share(((Choice(0, (window,)),), rip[1]), SNAPPED, BEST, 1).plan) == 2
    assert len(share(((Choice(0, (window,)),), hung[1]), SNAPPED, BEST, 1).plan) == 1


def test_a_turned_piece_turns_what_falls_out_of_it() -> None:
    # counterclockwise, the lower left corner comes to lie at the lower right
    assert turned(Box(0, 0, 10, 20), 50) == Box(30, 0, 50, 10)


def fewest_with_cutouts(lengths: list[int], cutouts: dict[int, int], room: int) -> int:
    """How many sheets strips take, each of which may come out of the cutout of a piece before it."""
    best = len(lengths)
    holes = {at: cutouts[at] for at in cutouts}

    def put(at: int, sheets: list[int], holes: dict[int, int]) -> None:
        nonlocal best
        if len(sheets) >= best:
            return
        if at == len(lengths):
            best = len(sheets)
            return
        for host, left in holes.items():
            if host < at and left >= lengths[at]:
                put(at + 1, sheets, {**holes, host: left - lengths[at]})
        for sheet, left in enumerate(sheets):
            if left >= lengths[at]:
                put(at + 1, [*sheets[:sheet], left - lengths[at], *sheets[sheet + 1 :]], holes)
        put(at + 1, [*sheets, room - lengths[at]], holes)

    put(0, [], holes)
    return best


def test_cutouts_are_used_as_well_as_any_way_of_sharing_them_out_does() -> None:
    # strips 30 in wide, of which a sheet gives one row; those of 50 in and more have 40 in cut out of them
    for seed in range(15):
        draw = random.Random(seed)
        lengths = [draw.choice((12, 18, 24, 33, 50, 60, 70)) for _ in range(9)]
        cut = {at: 40 for at, length in enumerate(lengths) if length >= 50}
        surfaces = tuple(
            (Choice(0, (Part(length * IN, 48 * IN if at in cut else 30 * IN, False,
                             (Box(5 * IN, 0, 45 * IN, 30 * IN),) if at in cut else ()),)),)
            for at, length in enumerate(lengths)
        )  # fmt: skip
        proven = fewest_with_cutouts(lengths, cut, 96)
        assert len(share(surfaces, SNAPPED, BEST, proven).plan) == proven


def test_another_layout_is_taken_only_where_it_spares_a_sheet() -> None:
    long, short = Part(60 * IN, 48 * IN, False), Part(36 * IN, 48 * IN, False)
    fixed = (Choice(0, (long,)),)
    spares = (Choice(0, (long,)), Choice(0, (short,)))
    doesnt = (Choice(0, (short,)), Choice(0, (long,)))
    assert share((fixed, spares), SNAPPED, BEST, 1)[0] == (0, 1)
    assert share((fixed, doesnt), SNAPPED, BEST, 1)[0] == (0, 0)


def test_only_cut_pieces_along_a_joint_between_courses_need_the_edge() -> None:
    # 10 ft high: two courses of 4 ft and a rip of 2 ft against the floor, which meets the second course
    layout = lay(rectangle(96, 120), DRYWALL, DRYWALL_WALL, preferences=LayoutPreferences(corner="nw"))
    parts = [part for part in layout.parts if part]
    assert {(part.over, part.edge) for part in parts if part.over < 48 * IN} == {(24 * IN, True)}
    assert not any(part.edge for part in parts if part.over == 48 * IN)


def test_layouts_nearly_as_good_are_valid_and_cut_unlike() -> None:
    wall = rectangle(150, 96)
    found = near_equals(wall, DRYWALL, DRYWALL_WALL, LayoutPreferences(corner="nw"), 4)
    assert len(found) > 1
    drawn = [lay(wall, DRYWALL, DRYWALL_WALL, fixed=given) for given, _ in found]
    assert [fault for layout in drawn for fault in validate(layout)] == []
    assert [layout.parts for layout in drawn] == [parts for _, parts in found]
    cut = {tuple(sorted(part for part in parts if part)) for _, parts in found}
    assert len(cut) == len(found)
