"""What an estimate's first page says the work is, in two sentences."""

from dataclasses import replace

from estimating.snapshots.first_page import proposed_summary
from tests.estimating.plain_kitchen import drafted, kitchen, kitchen_room, kitchen_words, quick


def test_what_is_taken_out_and_the_main_work_are_two_plain_sentences() -> None:
    draft = drafted(
        quick("Remove cabinets", "take_out", "2", "0"),
        quick("Remove base and casing", "take_out", "1", "0"),
        quick("Tape and finish drywall, level 4", "finish", "9", "0"),
        quick("Tile floor, 12 x 24 in", "floor", "9", "0"),
        quick("Casing on doors, windows and openings", "trim", "4", "0"),
    )
    out, new = proposed_summary(kitchen_words(), replace(draft, rooms={"1": kitchen_room()}))
    assert out == f"{kitchen_room().name}: I remove cabinets, and base and casing."
    assert new == (
        "Then comes the main work: tape and finish drywall, tile floor, "
        "and casing on doors, windows and openings."
    )


def test_work_that_takes_nothing_out_has_one_sentence() -> None:
    only = drafted(quick("Paint walls", "finish", "5", "0"), quick("Seal grout", "floor", "1", "0"))
    assert list(proposed_summary(kitchen_words(), only)) == ["The main work: paint walls and seal grout."]


def test_several_rooms_are_not_named_in_it() -> None:
    out, _ = proposed_summary(kitchen_words(), kitchen())
    assert out == "I remove the old kitchen."
