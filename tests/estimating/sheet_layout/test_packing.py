"""Cut pieces packed into sheets: against proofs, and by the rules of cutting."""

import random
from collections.abc import Sequence
from typing import Any

import pytest

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout
from estimating.sheet_layout.packing import Size, Stock, least_bins
from estimating.sheet_layout.surface import Surface

EIGHTH = NM_PER_INCH // 8
BOARD = Sheet(60 * NM_PER_INCH, 36 * NM_PER_INCH, NM_PER_INCH // 2)
STOCK = Stock(480, 288, 1, True)  # the same in eighths of an inch


def random_layout(seed: int) -> Layout:
    """A room of some 5 to 16 ft, laid from a start that nobody chose."""
    draw = random.Random(seed)
    wide, deep = draw.randint(500, 1500), draw.randint(400, 1100)
    corner = draw.randint(150, wide - 150), draw.randint(150, deep - 150)
    ring = [(0, 0), (wide, 0), (wide, deep), (0, deep)]
    if seed % 3 == 0:
        ring = [(0, 0), (wide, 0), (wide, corner[1]), corner, (corner[0], deep), (0, deep)]
    surface = Surface(tuple((x * EIGHTH, y * EIGHTH) for x, y in ring))
    first, step = draw.randint(48, 288), 289
    courses = len(range(first, deep - 2 + 288, step))
    firsts = tuple(draw.randint(48, 480) * EIGHTH for _ in range(courses))
    return lay(surface, BOARD, fixed=FixedLayout("x", first * EIGHTH, firsts))


def cut_boxes(layout: Layout) -> list[Size]:
    return [
        (piece.width_nm // EIGHTH, piece.height_nm // EIGHTH) for piece in layout.pieces if not piece.whole
    ]


def may_fit(sizes: Sequence[Size], sheets: int, stock: Stock = STOCK) -> bool:
    """Whether a solver finds room for all boxes, turned or not, or can't prove that there is none."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model", reason="needs OR-Tools")
    model = cp_model.CpModel()
    long, short, kerf = stock.length + stock.kerf, stock.width + stock.kerf, stock.kerf
    uprights: list[list[Any]] = [[] for _ in range(sheets)]
    levels: list[list[Any]] = [[] for _ in range(sheets)]
    places = []
    for number, (w, h) in enumerate(sorted(sizes, key=lambda size: -size[0] * size[1])):
        w, h = w + kerf, h + kerf
        ways = []
        for sheet in range(min(number + 1, sheets)):
            for wide, high in {(w, h), (h, w)} if stock.may_turn else {(w, h)}:
                if wide > long or high > short:
                    continue
                here = model.new_bool_var("")
                x = model.new_int_var(0, long - wide, "")
                y = model.new_int_var(0, short - high, "")
                uprights[sheet].append(model.new_optional_fixed_size_interval_var(x, wide, here, ""))
                levels[sheet].append(model.new_optional_fixed_size_interval_var(y, high, here, ""))
                ways.append((sheet, here))
        model.add_exactly_one(here for _, here in ways)
        places.append((ways, w * h))
    for sheet in range(sheets):
        model.add_no_overlap_2d(uprights[sheet], levels[sheet])
        model.add(
            sum(area * here for ways, area in places for at, here in ways if at == sheet) <= long * short
        )
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = 60
    solver.parameters.num_workers = 2
    return bool(solver.solve(model) != cp_model.INFEASIBLE)


def needless_sheets(seed: int) -> bool:
    """Whether a layout takes more sheets than its area asks for, without a proof that it must."""
    layout = random_layout(seed)
    sizes = cut_boxes(layout)
    used = layout.sheets - sum(piece.whole for piece in layout.pieces)
    by_area = -(-sum((w + 1) * (h + 1) for w, h in sizes) // (481 * 289))
    return used > by_area and may_fit(sizes, used - 1)


def test_packing_is_proven_the_least_in_random_layouts() -> None:
    assert [seed for seed in range(25) if needless_sheets(seed)] == []


@pytest.mark.benchmark
def test_packing_is_proven_the_least_in_two_hundred_random_layouts() -> None:
    assert [seed for seed in range(200) if needless_sheets(seed)] == []


@pytest.mark.parametrize("stock", [STOCK, Stock(96, 48, 0, False), Stock(60, 36, 1, True)])
def test_no_more_sheets_are_called_for_than_a_solver_proves(stock: Stock) -> None:
    # where the count of pieces that can't lie side by side asks for more than the area does
    draw, tried = random.Random(5), 0
    for _ in range(60):
        sizes = [
            (draw.randint(stock.length // 8, stock.length), draw.randint(stock.width // 8, stock.width))
            for _ in range(draw.randint(2, 6))
        ]
        least = stock.least(sizes)
        by_area = -(-sum((w + stock.kerf) * (h + stock.kerf) for w, h in sizes) // stock.capacity)
        assert least >= by_area
        if least > by_area:
            tried += 1
            assert not may_fit(sizes, least - 1, stock)
    assert tried > 5


def test_lengths_over_half_a_bin_take_one_each_and_what_they_leave_is_filled() -> None:
    # worked by hand: the two of 60 leave 80 of their bins, in which neither of 41 has room
    assert least_bins([51, 51, 51], 100) == 3
    assert least_bins([60, 60, 41, 41], 100) == 3
    assert least_bins([], 100) == 0
