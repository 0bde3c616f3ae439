"""Sticks on the cut sheet: the cut list of each material, and why it differs from its length."""

from datetime import date
from fractions import Fraction

from catalog.measures.lengths import parse_length
from estimating.estimate_file.answer import answer
from estimating.estimates.draft import Draft, price_draft
from estimating.estimates.work_page import item_detail
from estimating.rooms.plan import Opening
from estimating.snapshots.cut_sheet import CutSheetHeader, cut_lists, cut_sheet_snapshot, nothing_to_cut
from estimating.snapshots.wording import DocumentParty
from estimating.takeoff.work import Conventions, Override, RoomUse, Work
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
    return price_draft({"a": room("12'", "12'", openings=openings)}, [work], policy(), Conventions())


def test_every_stick_is_listed_with_what_is_cut_from_it() -> None:
    (casing,) = cut_lists(cased(("36", "80")), "case")
    # two legs of 80 in, each more than half an 8 ft stick, and a head of 36 in that no offcut holds
    assert len(casing["rows"]) == 3
    assert all(row.startswith("8' 0\"") for row in casing["rows"])
    # 16 ft 4 in are three sticks by length too
    assert casing["bought"] == "3 sticks, as many as length alone says."
    assert casing["why"] == "16.33 ft is 3 sticks by length and by cut list alike."


def test_the_reason_stands_beside_the_list_where_length_alone_would_buy_fewer() -> None:
    (casing,) = cut_lists(cased(("30", "80"), ("30", "80")), "case")
    # four legs take a stick each and two heads a fifth; 31 ft 8 in are four sticks by length
    assert len(casing["rows"]) == 5
    assert casing["bought"] == "5 sticks; length alone says 4."
    assert casing["why"].startswith("31.67 ft is 4 sticks by length and 5 by cut list, because ")
    assert nothing_to_cut(cased(("30", "80")), "case") == []


def test_work_without_boards_or_sticks_has_nothing_to_cut() -> None:
    glue = material("glue", "each", ("1", "5.00"))
    plain = Work(
        "glue", "Glue", "trim", assembly=assembly("glue", "floor", uses(glue)), rooms=(RoomUse("a"),)
    )
    draft = price_draft({"a": room()}, [plain], policy(), Conventions())
    assert len(nothing_to_cut(draft, "glue")) == 1


def test_where_sticks_are_cut_the_sheet_warns_of_the_miter_saw_and_not_of_silica() -> None:
    head = CutSheetHeader(
        DocumentParty("Tolliver Room & Tile"), DocumentParty("Okonjo"), "Hall", "", date(2026, 11, 24)
    )
    cautions = " ".join(cut_sheet_snapshot(head, cased(("36", "80")), "case")["cautions"])
    for words in ("guard", "hands", "eye and ear", "dust"):
        assert words in cautions
    assert "silica" not in cautions


def test_the_answer_of_the_command_has_the_cut_list_and_the_reason() -> None:
    (line,) = answer(cased(("30", "80"), ("30", "80")))["materials"]
    assert line["packages"] == [{"count": 5, "holds": "8 ft", "price": "9.00"}]
    assert len(line["sticks"]) == 5
    assert line["why"].startswith("31.67 ft is 4 sticks by length and 5 by cut list, because ")


def test_sticks_bought_by_length_say_why_there_is_no_cut_list() -> None:
    by_hand = (Override("opening_trim", Fraction(30), "only the doors"),)
    work = Work("case", "Case", "trim", assembly=CASE, rooms=(RoomUse("a"),), overrides=by_hand)
    draft = price_draft({"a": room()}, [work], policy(), Conventions())
    (bought,) = item_detail(draft, "case", False, None).purchases
    assert bought.why == (
        "Bought by length. Opening trim of Case was typed by hand, so that its pieces aren't known."
    )
