"""How long layouts take, printed: `pytest -m benchmark -s tests/benchmarks/test_sheets.py`."""

import time

import pytest

from catalog.measures.lengths import NM_PER_INCH as IN
from estimating.boards.layouts import Boards, Effort
from estimating.rooms.plan import Opening, RoomPlan
from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.surface import Surface
from tests.estimating.boards.test_layouts import CEILING, WALLS
from tests.estimating.sheet_layout.published_cases import FREE, surface
from tests.estimating.sheet_layout.sheet_rooms import BACKER, ISLAND, KITCHEN, L_SHAPE, U_SHAPE, rectangle
from tests.estimating.sheet_layout.validate import validate, validate_shared
from tests.specs import room

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


def house(openings: bool) -> dict[str, RoomPlan]:
    """Make twelve rooms of four walls and a ceiling, with or without a door and a window each."""

    def holes(at: int) -> tuple[Opening, ...]:
        door = Opening("Door", "door", 0, (30 + at % 3 * 2) * IN, 80 * IN, 0, (6 + at * 7 % 30) * IN)
        wide, start = (36 + at % 4 * 12) * IN, (12 + at * 5 % 20) * IN
        return door, Opening("Window", "window", 2, wide, 48 * IN, 32 * IN, start)

    return {
        str(at): room(
            f'{100 + at * 37 % 110}"', f'{80 + at * 53 % 90}"', openings=holes(at) if openings else ()
        )
        for at in range(12)
    }


@pytest.mark.benchmark
@pytest.mark.parametrize("openings", [False, True], ids=["bare", "openings"])
def test_time_of_cutting_the_boards_of_sixty_surfaces_together(openings: bool) -> None:
    """How long the layouts of a house take, and then the sharing of their sheets."""
    rooms = house(openings)
    uses = tuple((key, None) for key in rooms)
    efforts: tuple[Effort, ...] = ("first", "best")
    for effort in efforts:
        boards = Boards(effort=effort)
        before = time.process_time()
        laid = [layout for spec in (WALLS, CEILING) for layout in boards.lay(spec, rooms, uses).layouts]
        between = time.process_time()
        shared = boards.share(laid)[0].shared
        after = time.process_time()
        assert shared
        print(
            f"\n{len(laid)} surfaces, {effort}: {(between - before) * 1000:.0f} ms to lay,"
            f" {(after - between) * 1000:.0f} ms to share: {shared.sheets} sheets,"
            f" {shared.shares.alone} alone (at least {shared.least})",
            end="",
        )
        assert shared.least <= shared.sheets <= shared.shares.alone
        hung = sorted(boards.share(laid), key=lambda layout: layout.at)
        assert validate_shared([layout.layout() for layout in hung]) == ()
