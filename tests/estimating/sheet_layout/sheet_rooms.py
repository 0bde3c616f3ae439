"""Rooms to lay sheets in, for tests: shapes in whole eighths of an inch, and Hypothesis strategies."""

from hypothesis import strategies as st

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.regions import Ring
from estimating.sheet_layout.surface import Surface

IN = NM_PER_INCH
EIGHTH = NM_PER_INCH // 8
BACKER = Sheet(60 * IN, 36 * IN, IN // 2)


def in_eighths(*ring: tuple[int, int]) -> Ring:
    return tuple((x * EIGHTH, y * EIGHTH) for x, y in ring)


def rectangle(wide_in: int, deep_in: int) -> Surface:
    return Surface(in_eighths((0, 0), (8 * wide_in, 0), (8 * wide_in, 8 * deep_in), (0, 8 * deep_in)))


KITCHEN = rectangle(160, 128)
L_SHAPE = Surface(in_eighths((0, 0), (1200, 0), (1200, 500), (700, 500), (700, 1000), (0, 1000)))
U_SHAPE = Surface(
    in_eighths((0, 0), (1300, 0), (1300, 1000), (950, 1000), (950, 450), (350, 450), (350, 1000), (0, 1000))
)
ISLAND = Surface(
    in_eighths((0, 0), (1056, 0), (1056, 1152), (0, 1152)),
    (in_eighths((384, 432), (672, 432), (672, 720), (384, 720)),),
)


@st.composite
def rooms(draw: st.DrawFn) -> Surface:
    """A rectangle, an L, a U, a room with an island, or one with cabinets along a wall; 4 to 13 ft."""
    wide, deep = draw(st.integers(400, 1250)), draw(st.integers(400, 1250))
    x, y = draw(st.integers(100, wide - 200)), draw(st.integers(100, deep - 200))
    ring = [(0, 0), (wide, 0), (wide, deep), (0, deep)]
    holes: list[Ring] = []
    match draw(st.sampled_from("RLUIC")):
        case "L":
            ring[2:3] = [(wide, y), (x, y), (x, deep)]
        case "U":
            ring[2:3] = [(wide, deep), (x + 100, deep), (x + 100, y), (x, y), (x, deep)]
        case "I":
            holes = [in_eighths((x, y), (x + 100, y), (x + 100, y + 100), (x, y + 100))]
        case "C":
            holes = [in_eighths((x, -8), (x + 100, -8), (x + 100, y), (x, y))]
    return Surface(in_eighths(*ring), tuple(holes))
