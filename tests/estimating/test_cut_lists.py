"""Sticks on the cut sheet: the cut list of each material, and why it differs from its length."""

from catalog.units import parse_length
from estimating.cut_sheet import cut_lists, nothing_to_cut
from estimating.drafts import Draft, work_out
from estimating.geometry import Opening
from estimating.takeoff import Conventions, RoomUse, Work
from tests.specs import assembly, material, policy, room, uses

CASING = material("casing", "ft", ("8", "9.00"), stick=True)
CASE = assembly(
    "case openings",
    "opening_trim",
    uses(CASING, "1 ft per ft", "opening_trim"),
)


def cased(*doors: tuple[str, str]) -> Draft:
    openings = tuple(
        Opening(
            f"Door {number}", "door", number, parse_length(width, bare="in"), parse_length(height, bare="in")
        )
        for number, (width, height) in enumerate(doors)
    )
    work = Work("case", "Case", "trim", assembly=CASE, rooms=(RoomUse("a"),))
    return work_out({"a": room("12'", "12'", openings=openings)}, [work], policy(), Conventions())


def test_every_stick_is_listed_with_what_is_cut_from_it() -> None:
    (casing,) = cut_lists(cased(("36", "80")), "case")
    # two legs of 80 in, each more than half an 8 ft stick, and a head of 36 in that no offcut holds
    assert len(casing["rows"]) == 3
    assert all(row.startswith("8' 0\"") for row in casing["rows"])
    # 16 ft 4 in are three sticks by length too
    assert (casing["name"], casing["why"]) == ("casing", "3 sticks, by length and by cut list alike.")


def test_the_reason_stands_beside_the_list_where_length_alone_would_buy_fewer() -> None:
    (casing,) = cut_lists(cased(("30", "80"), ("30", "80")), "case")
    # four legs take a stick each and two heads a fifth; 31 ft 8 in are four sticks by length
    assert len(casing["rows"]) == 5
    assert casing["why"].startswith("4 sticks by length, 5 by cut list, because ")
    assert nothing_to_cut(cased(("30", "80")), "case") == []


def test_work_without_boards_or_sticks_has_nothing_to_cut() -> None:
    glue = material("glue", "each", ("1", "5.00"))
    plain = Work(
        "glue", "Glue", "trim", assembly=assembly("glue", "floor", uses(glue)), rooms=(RoomUse("a"),)
    )
    draft = work_out({"a": room()}, [plain], policy(), Conventions())
    assert len(nothing_to_cut(draft, "glue")) == 1
