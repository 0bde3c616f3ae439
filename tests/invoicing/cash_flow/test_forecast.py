"""Money out by the work's own order, money in by milestone: the cash line that a split of the plan makes."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from xml.etree import ElementTree as ET

import pytest

from estimating.contract.lines import ContractLine
from estimating.contract.work_lines import ContractWorkLine
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import RoomUse, Work
from invoicing.cash_flow.balance import CashMovement
from invoicing.cash_flow.drawing import cash_in_words, cash_svg
from invoicing.cash_flow.forecast import (
    CashForecast,
    Outlay,
    WorkSchedule,
    cash_forecast,
    expected_days,
    money_in,
    money_out,
    schedule_work,
    working_day,
)
from invoicing.milestones.plan import MilestoneTerm, Plan, draw_plan
from tests.specs import assembly, operation, room, uses

MONDAY, FRIDAY = date(2026, 3, 2), date(2026, 3, 6)


def work(phase: str, hours: str, cost: str) -> ContractWorkLine:
    line = ContractLine(1, phase, "work", phase, "Estimate 1001", Decimal(cost), Decimal(cost), Decimal(cost))
    return ContractWorkLine(line, phase, Fraction(hours), Fraction(cost), False)


FLOOR = work("floor", "14", "1400")  # of which 14 hours at $50.00 are his own
CABINETS = work("set", "7", "3350")


@pytest.mark.parametrize(
    ("start", "after", "day"),
    [
        (MONDAY, 0, MONDAY),
        (MONDAY, 4, FRIDAY),
        (MONDAY, 5, date(2026, 3, 9)),
        (FRIDAY, 1, date(2026, 3, 9)),
        (date(2026, 3, 7), 0, date(2026, 3, 9)),
        (date(2026, 3, 8), 6, date(2026, 3, 17)),
    ],
)
def test_working_days_leave_weekends_out(start: date, after: int, day: date) -> None:
    assert working_day(start, after) == day


def test_a_phase_begins_when_the_hours_before_it_are_worked() -> None:
    when = schedule_work([CABINETS, FLOOR], MONDAY, Fraction(7))
    assert when == WorkSchedule({"floor": MONDAY, "set": date(2026, 3, 4)}, date(2026, 3, 4))


def test_no_work_and_no_payment_falls_on_a_federal_holiday() -> None:
    friday = date(2026, 5, 22)
    when = schedule_work([FLOOR], friday, Fraction(7))
    assert when.ends == date(2026, 5, 26)  # Memorial Day is the 25th
    assert working_day(date(2026, 5, 23), 0) == date(2026, 5, 26)


def test_what_must_dry_moves_the_end_of_the_work() -> None:
    coat = operation("coat", "1 hour per 120 sq ft", "sq ft", wait_hours=Fraction(16))
    taping = assembly("tape", "floor", uses(coat, times=3))
    item = take_off(
        {"a": room()}, [Work("floor", "Tape", "floor", assembly=taping, rooms=(RoomUse("a"),))]
    ).items[0]
    line = work("floor", "3", "150")
    assert schedule_work([line], MONDAY, Fraction(7)).ends == MONDAY
    assert schedule_work([line], MONDAY, Fraction(7), {(1, "floor"): item}).ends == date(2026, 3, 4)
    shorter = work("floor", "2", "100")  # a change took a part out: its coats aren't known any more
    assert schedule_work([shorter], MONDAY, Fraction(7), {(1, "floor"): item}).ends == MONDAY


def test_own_hours_are_no_money_out_and_each_phase_buys_on_its_first_day() -> None:
    when = schedule_work([FLOOR, CABINETS], MONDAY, Fraction(7))
    movements = money_out([FLOOR, CABINETS], when, Decimal(50), (), {"floor": "Floor", "set": "Cabinets"})
    assert movements == [
        CashMovement(MONDAY, "Bought for: Floor", Decimal("-700.00")),
        CashMovement(date(2026, 3, 4), "Bought for: Cabinets", Decimal("-3000.00")),
    ]


def test_a_supplier_s_deposit_is_taken_off_what_its_phase_buys() -> None:
    when = schedule_work([CABINETS], MONDAY, Fraction(7))
    half = Outlay("Half of the cabinets", Decimal("1500.00"), date(2026, 2, 16), "set")
    movements = money_out([CABINETS], when, Decimal(50), [half], {"set": "Cabinets"})
    assert movements == [
        CashMovement(date(2026, 2, 16), "Half of the cabinets", Decimal("-1500.00")),
        CashMovement(MONDAY, "Bought for: Cabinets", Decimal("-1500.00")),
    ]


def test_days_that_are_not_known_are_spread_evenly_over_the_work() -> None:
    days = expected_days(["a", "b", "c"], {"b": FRIDAY}, MONDAY, date(2026, 3, 16))
    assert days == {"a": MONDAY, "b": FRIDAY, "c": date(2026, 3, 16)}
    assert expected_days(["a"], {}, MONDAY, FRIDAY) == {"a": FRIDAY}


def plan(deposit: str = "0", retainage: Fraction = Fraction(0)) -> Plan:
    terms = (MilestoneTerm("a", "Begun", "", Fraction(1, 4)), MilestoneTerm("b", "Done", ""))
    return draw_plan(Decimal("1000.00"), terms, retainage=retainage, deposit=Decimal(deposit))


DAYS = {"a": MONDAY, "b": FRIDAY}


def test_money_comes_as_many_days_after_a_milestone_as_the_client_takes() -> None:
    assert money_in(plan(), DAYS, MONDAY, 3) == [
        CashMovement(date(2026, 3, 5), "Begun", Decimal("250.00")),
        CashMovement(date(2026, 3, 9), "Done", Decimal("750.00")),
    ]


def test_retainage_comes_at_the_end_and_a_deposit_is_taken_off() -> None:
    movements = money_in(plan("300", Fraction(1, 10)), DAYS, MONDAY, 0)
    assert [(movement.label, movement.amount) for movement in movements] == [
        ("Deposit", Decimal("300.00")),
        ("Begun", Decimal("0.00")),  # 250 less 25 held, all of it covered by the deposit
        ("Done", Decimal("600.00")),  # 750 less 75 held less the last 75 of the deposit
        ("Retainage released", Decimal("100.00")),
    ]
    assert sum(movement.amount for movement in movements) == 1000


def bank(*movements: tuple[date, str]) -> CashForecast:
    return cash_forecast([CashMovement(day, "", Decimal(amount)) for day, amount in movements], (), FRIDAY)


def test_money_that_comes_on_the_day_it_is_paid_out_makes_nobody_a_bank() -> None:
    cash = bank((MONDAY, "-500"), (MONDAY, "600"))
    assert (cash.lowest, cash.days_as_bank) == (Decimal(0), 0)
    assert cash_in_words(cash) == "The client's money always covers what you pay out."


def test_the_days_and_the_sum_for_which_he_is_the_bank_are_said() -> None:
    cash = bank((MONDAY, "-500"), (date(2026, 3, 4), "600"))
    assert (cash.lowest, cash.days_as_bank) == (Decimal(-500), 2)
    assert cash_in_words(cash) == (
        "On 2 days you are the client's bank; at most $500.00 of your own money is in the job."
    )


def test_the_drawing_says_in_words_what_it_shows_and_hatches_what_is_below_zero() -> None:
    low, even = bank((MONDAY, "-500"), (FRIDAY, "600")), bank((MONDAY, "0"), (FRIDAY, "100"))
    drawing = ET.fromstring(cash_svg(low, even))
    space = "{http://www.w3.org/2000/svg}"
    assert drawing.findtext(f"{space}desc") == cash_in_words(low)
    assert drawing.findall(f"{space}line[@class='plan-hatch']")
    assert [path.get("class") for path in drawing.iter(f"{space}path")] == ["cash-other", "cash-line"]
    assert not ET.fromstring(cash_svg(even)).findall(f"{space}line[@class='plan-hatch']")


def test_the_drawing_names_the_least_that_the_words_name() -> None:
    """On Monday $500.00 go out before $480.04 come in: the day ends at -$19.96, the other split lower."""
    plan = bank((MONDAY, "-500"), (MONDAY, "480.04"), (FRIDAY, "600"))
    other = bank((MONDAY, "-572.83"), (FRIDAY, "600"))
    words = [
        text.text for text in ET.fromstring(cash_svg(plan, other)).iter("{http://www.w3.org/2000/svg}text")
    ]
    assert words[:2] == ["Most: $580.04", "Least: -$19.96"]
    assert "at most $19.96 of your own money" in cash_in_words(plan)


def test_days_between_the_first_and_the_last_are_even() -> None:
    days = expected_days(["a", "b", "c"], {}, MONDAY, date(2026, 3, 16))
    assert days == {"a": MONDAY, "b": date(2026, 3, 9), "c": date(2026, 3, 16)}


def test_retainage_that_the_deposit_covers_is_not_released() -> None:
    movements = money_in(plan("1000", Fraction(1, 10)), DAYS, MONDAY, 0)
    assert [(movement.label, movement.amount) for movement in movements] == [
        ("Deposit", Decimal("1000.00")),
        ("Begun", Decimal("0.00")),
        ("Done", Decimal("0.00")),
    ]


def test_what_a_phase_buys_is_rounded_half_up_and_nothing_is_no_movement() -> None:
    lines = [work("floor", "0", "100.005"), work("set", "0", "0.004")]
    movements = money_out(lines, schedule_work(lines, MONDAY, Fraction(7)), Decimal(50), (), {})
    assert movements == [CashMovement(MONDAY, "Bought for: changes", Decimal("-100.01"))]


def test_an_outlay_above_what_its_phase_buys_leaves_nothing_to_buy() -> None:
    schedule = schedule_work([CABINETS], MONDAY, Fraction(7))
    outlay = Outlay("Cabinets", Decimal("3500.00"), MONDAY, "set")
    assert money_out([CABINETS], schedule, Decimal(50), [outlay], {}) == [
        CashMovement(MONDAY, "Cabinets", Decimal("-3500.00"))
    ]


def test_own_hours_that_cost_more_than_the_line_buy_nothing() -> None:
    lines = [work("floor", "14", "600"), CABINETS]
    movements = money_out(lines, schedule_work(lines, MONDAY, Fraction(7)), Decimal(50), (), {})
    assert [movement.amount for movement in movements] == [Decimal("-3000.00")]


def test_lines_of_one_phase_are_bought_together_and_worked_one_after_the_other() -> None:
    lines = [FLOOR, work("floor", "7", "450"), CABINETS]
    schedule = schedule_work(lines, MONDAY, Fraction(7))
    assert schedule == WorkSchedule({"floor": MONDAY, "set": date(2026, 3, 5)}, date(2026, 3, 5))
    movements = money_out(lines, schedule, Decimal(50), (), {})
    assert [movement.amount for movement in movements] == [Decimal("-800.00"), Decimal("-3000.00")]


def test_work_of_a_day_and_an_hour_ends_on_the_second_day() -> None:
    assert schedule_work([work("floor", "8", "0")], MONDAY, Fraction(7)).ends == date(2026, 3, 3)
    assert schedule_work([], MONDAY, Fraction(7)) == WorkSchedule({}, MONDAY)


def test_on_one_day_money_goes_out_before_any_comes_in() -> None:
    cash = bank((MONDAY, "600"), (MONDAY, "-500"))
    assert [point.cash for point in cash.points] == [Decimal(-500), Decimal(100)]


def test_the_forecast_goes_on_to_the_last_payment() -> None:
    cash = bank((MONDAY, "-500"), (date(2026, 3, 10), "600"))
    assert (cash.until, cash.days_as_bank) == (date(2026, 3, 10), 8)
    assert bank((MONDAY, "-500")).until == FRIDAY


def test_retainage_comes_with_the_last_payment_less_what_is_left_of_the_deposit() -> None:
    """Of a deposit of 950.00 the milestones take 225.00 and 675.00; 100.00 are held and 50.00 are left."""
    movements = money_in(plan("950", Fraction(1, 10)), DAYS, MONDAY, 3)
    assert movements[-2:] == [
        CashMovement(date(2026, 3, 9), "Done", Decimal("0.00")),
        CashMovement(date(2026, 3, 9), "Retainage released", Decimal("50.00")),
    ]
