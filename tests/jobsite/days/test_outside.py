"""What comes from outside: when it can be there, and by when it must be ordered or decided."""

from datetime import date, datetime, time
from decimal import Decimal

from jobsite.days.kept_steps import Choice
from jobsite.days.outside import Awaited, act_by, decisions, earliest, event_in_words, needed_on
from jobsite.days.planned import Part, PlannedStep

TODAY = date(2026, 11, 24)
CABINETS = Awaited(1, 7, "delivery", "Cabinets", lead_days=42, holds_back="phase:set")


def step(day: date, free_to: date | None = None) -> PlannedStep:
    part = Part(datetime.combine(day, time(8)), datetime.combine(day, time(10)), Decimal(2))
    return PlannedStep("1", 7, "Set cabinets", "Cabinets", (part,), phase="set", free_to=free_to)


def test_what_is_not_ordered_comes_its_lead_days_after_today() -> None:
    assert earliest(CABINETS, TODAY) == date(2027, 1, 5)


def test_a_noted_day_that_the_lead_days_leave_no_time_for_does_not_hold() -> None:
    wished = Awaited(1, 7, "delivery", "Cabinets", on=date(2026, 12, 10), lead_days=42)
    assert earliest(wished, TODAY) == date(2027, 1, 5)


def test_what_is_ordered_comes_on_the_day_that_the_supplier_named() -> None:
    ordered = Awaited(
        1, 7, "delivery", "Cabinets", on=date(2026, 12, 10), lead_days=42, ordered_on=date(2026, 11, 20)
    )
    assert earliest(ordered, TODAY) == date(2026, 12, 10)


def test_a_lead_of_400_days_reaches_over_the_year() -> None:
    slow = Awaited(1, 7, "delivery", "Slab", lead_days=400, holds_back="phase:set")
    assert earliest(slow, TODAY) == date(2027, 12, 29)


def test_what_has_come_holds_nothing_back() -> None:
    assert earliest(Awaited(1, 7, "delivery", "Tile", on=date(2027, 1, 1), done=True), TODAY) is None


def test_the_last_day_to_order_counts_back_from_how_late_the_work_may_begin() -> None:
    waiting = step(date(2027, 1, 13), free_to=date(2027, 1, 15))
    needed = needed_on(CABINETS, [waiting])
    assert needed == date(2027, 1, 15)
    assert act_by(CABINETS, needed) == date(2026, 12, 4)
    assert event_in_words(CABINETS, needed, TODAY) == "Order by Fri 4 Dec: needed Fri 15 Jan."


def test_a_decision_costs_no_day_until_its_work_must_begin() -> None:
    grout = Awaited(2, 7, "decision", "Grout color", lead_days=7, holds_back="phase:set")
    words = event_in_words(grout, date(2026, 12, 21), TODAY)
    assert words == "Client decides by Mon 14 Dec: needed Mon 21 Dec."


def test_a_last_day_that_is_past_says_that_the_end_moves() -> None:
    words = event_in_words(CABINETS, date(2026, 12, 21), TODAY)
    assert words.startswith("Order by Mon 9 Nov: needed Mon 21 Dec.")
    assert "each day more moves the end of the job" in words


def test_another_job_does_not_wait_for_it() -> None:
    assert needed_on(Awaited(1, 8, "delivery", "Cabinets", holds_back="phase:set"), [step(TODAY)]) is None


def test_a_decision_has_the_day_of_the_contract_and_the_last_that_costs_no_day() -> None:
    tile = Choice("1:4", "Heated floor", date(2026, 12, 4), "set")
    sink = Choice("1:a", "Sink", date(2026, 12, 7), "")
    steps = [step(date(2026, 12, 1), free_to=date(2026, 12, 2))]
    heated, later = decisions([tile, sink], 7, steps)
    assert (heated.day, heated.free, later.free) == (date(2026, 12, 2), date(2026, 12, 2), None)
    assert heated.in_words(TODAY) == "by the contract until Fri 4 Dec; until Wed 2 Dec it costs no day"
    assert later.in_words(TODAY) == "by the contract until Mon 7 Dec"
    assert "it costs days since Wed 2 Dec" in heated.in_words(date(2026, 12, 3))
