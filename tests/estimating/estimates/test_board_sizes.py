"""Other sizes of a board: what each would take of the same work, and which comes first."""

from catalog.assemblies.specs import MaterialSpec, SheetSize
from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from estimating.estimates.board_page import OtherSize, other_sizes, quantities_of
from estimating.estimates.draft import Draft, price_draft
from estimating.takeoff.work import Conventions, RoomUse, Work
from tests.specs import assembly, material, policy, room, uses

IN, FT = NM_PER_INCH, NM_PER_FOOT


def board(name: str, feet: int, price: str, width: int = 4 * FT) -> MaterialSpec:
    return material(name, "each", ("1", price), sheet=SheetSize(feet * FT, width, IN // 2))


def hung(length: str, hung_board: MaterialSpec) -> Draft:
    """Return a draft of one wall 8 ft high with boards hung on it."""
    hang = assembly("hang", "wall_net", uses(hung_board, scales_with="sheets"), board=hung_board)
    work = Work("hang", "Hang", "board", assembly=hang, rooms=(RoomUse("a", frozenset({0})),))
    return price_draft({"a": room(length, "10'")}, [work], policy(), Conventions())


def sizes_of(length: str, hung_board: MaterialSpec, *boards: MaterialSpec) -> tuple[OtherSize, ...]:
    draft = hung(length, hung_board)
    request = quantities_of(draft, "hang").boards["hang"].requests[0]
    return other_sizes(draft, "hang", request, boards)


EIGHT, TEN, TWELVE = board("8", 8, "15.00"), board("10", 10, "19.00"), board("12", 12, "29.00")


def test_the_cheapest_size_comes_first_with_its_price_against_what_is_laid() -> None:
    sizes = sizes_of("12'", EIGHT, EIGHT, TEN, TWELVE)
    # 12 by 8 ft is 3 sheets of 8 ft for 45.00 or 2 of 12 ft for 58.00: 13.00 and 20 % more
    assert sizes[0] == OtherSize(
        "8", "8", 3, "3 sheets in 4 pieces, ends meet along 8' 0\"", "as it is", True
    )
    assert sizes[-1].words == "$15.60 more on the price"
    assert [size.code for size in sizes] == ["8", "10", "12"]


def test_boards_as_long_as_the_wall_have_no_ends_that_meet() -> None:
    (long,) = sizes_of("12'", EIGHT, TWELVE)
    assert (long.sheets, long.takes) == (2, "2 sheets in 2 pieces, no ends meet")


def test_of_sizes_that_cost_the_same_fewer_pieces_come_first() -> None:
    dear = board("8", 8, "10.00")
    sizes = sizes_of("12'", dear, dear, board("12", 12, "15.00"))
    assert [(size.code, size.words) for size in sizes] == [
        ("12", "nothing more on the price"),
        ("8", "as it is"),
    ]


def test_a_size_that_cannot_be_laid_is_passed_over() -> None:
    # sheets of 2 ft can't keep ends that meet 16 in apart
    short = board("2", 2, "1.00", width=2 * FT)
    assert [size.code for size in sizes_of("12'", EIGHT, short, EIGHT)] == ["8"]
