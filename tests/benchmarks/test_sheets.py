"""How long layouts take, printed: `pytest -m benchmark -s tests/benchmarks/test_sheets.py`."""

import time

import pytest

from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.surface import Surface
from tests.estimating.sheet_layout.published_cases import FREE, surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, ISLAND, KITCHEN, L_SHAPE, U_SHAPE, rectangle
from tests.estimating.sheet_layout.validate import validate

ROOMS = {
    "kitchen 13'-4\" x 10'-8\"": KITCHEN,
    "L": L_SHAPE,
    "U": U_SHAPE,
    "island": ISLAND,
    "1,000 sq ft": rectangle(480, 300),
    **{case["name"]: surface(case) for case in FREE},
}


@pytest.mark.benchmark
@pytest.mark.parametrize("room", ROOMS.values(), ids=ROOMS)
def test_time_of_first_and_best(room: Surface, request: pytest.FixtureRequest) -> None:
    for effort in ("first", "best"):
        before = time.process_time()
        layout = lay(room, BACKER, effort=effort)
        milliseconds = (time.process_time() - before) * 1000
        print(
            f"\n{request.node.callspec.id}, {effort}: {milliseconds:.0f} ms, {layout.sheets} sheets"
            f" (at least {layout.lower_bound}), {len(layout.pieces)} pieces, {layout.cut_count} cuts",
            end="",
        )
        assert validate(layout) == ()
