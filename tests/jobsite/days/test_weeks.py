"""The plan by week and day."""

from datetime import date, datetime, time
from decimal import Decimal
from fractions import Fraction

import pytest

from jobsite.days.planned import DaysPlan, Part, PlannedStep, Supply, as_json, from_json
from jobsite.days.supplies import Need, less_stock, packages_listed, plan_runs, stock_listed
from jobsite.days.weeks import CHANGE, OTHER, OWN, Note, Week, lay_out_weeks

MONDAY = date(2026, 12, 28)


def part(day: date, begins: int, ends: int) -> Part:
    first, last = (datetime.combine(day, time(hour)) for hour in (begins, ends))
    return Part(first, last, Decimal(ends - begins))


COMPOUND = PlannedStep(
    "1/2",
    7,
    "Tape coat",
    "Tape and finish",
    (part(MONDAY, 8, 12),),
    dries_until=datetime.combine(date(2026, 12, 29), time(4)),
    surface="Kitchen walls",
)
NEW_YEAR = (part(date(2026, 12, 31), 8, 15), part(date(2027, 1, 2), 8, 12))
TILE = PlannedStep("2/1", 7, "Set tile", "Tile floor", NEW_YEAR, change="Rot")
GROUT = PlannedStep("9/1", 8, "Grout", "Bath floor", (part(MONDAY, 12, 15),))


def laid() -> tuple[Week, ...]:
    return lay_out_weeks(
        [COMPOUND, TILE, GROUT],
        job=7,
        first=date(2026, 12, 30),
        count=2,
        today=MONDAY,
        off={date(2027, 1, 1): "Holiday: New Year's Day"},
        notes={MONDAY: [Note("dumpster 7:30")]},
        names={7: "Okonjo kitchen", 8: "Baird bath"},
    )


def test_a_week_over_the_year_keeps_its_days_in_order_and_sums_its_hours() -> None:
    first, second = laid()
    assert first.monday == MONDAY
    assert first.hours == 18  # 4 + 3 on Monday, 7 on Thursday, 4 on a Saturday with work
    assert [day.day.day for day in first.days] == [28, 29, 30, 31, 1, 2]
    assert second.hours == 0
    assert first.days[4].off == "Holiday: New Year's Day"


def test_a_step_is_marked_by_whose_it_is_and_goes_on_over_days() -> None:
    first, _ = laid()
    assert [entry.tone for entry in first.days[0].parts] == [OWN, OTHER]
    assert first.days[0].parts[1].job == "Baird bath"
    assert (first.days[3].parts[0].tone, first.days[3].parts[0].goes_on) == (CHANGE, False)
    assert first.days[5].parts[0].goes_on


def test_what_dries_is_said_with_its_surface_and_its_end() -> None:
    assert laid()[0].days[0].drying == ("Kitchen walls: dries to Tue 4:00 AM",)


def test_a_plan_comes_back_from_json_as_it_was() -> None:
    plan = DaysPlan((COMPOUND, TILE, GROUT), frozenset({7}), {7: ("Tile can't go.",)}, {7: (MONDAY, MONDAY)})
    assert from_json(as_json(plan)) == plan
    assert plan.finish(7) == date(2027, 1, 2)
    assert plan.working_days(7) == 3


def test_a_run_serves_the_working_days_from_its_own_on_and_none_comes_too_early() -> None:
    worked = [date(2026, 12, day) for day in (1, 2, 3, 4, 7, 8)]
    needs = [Need(worked[place], Supply("t", "Tape", "1 each"), "Tape") for place in (0, 2, 3, 5)]
    runs = plan_runs(needs, {"t": "Fennimore Lumber"}, worked, 3)
    assert [(run.day.day, run.until.day, len(run.stops[0][1])) for run in runs] == [(1, 3, 1), (4, 8, 1)]
    assert plan_runs([], {}, worked, 3) == ()


def test_what_cant_be_stored_is_bought_on_a_run_of_its_own_day() -> None:
    worked = [date(2026, 12, day) for day in (1, 2, 3, 4, 7)]
    board, mud = Supply("b", "Board", "3"), Supply("m", "Ready-mixed mortar", "1 bag")
    needs = [Need(worked[0], board, "Board"), Need(worked[2], mud, "Floor"), Need(worked[3], board, "Board")]
    runs = plan_runs(needs, {}, worked, 5, {"m": 1})
    bought = [(run.day.day, run.until.day, [buy.name for buy in run.stops[0][1]]) for run in runs]
    assert bought == [(1, 2, ["Board"]), (3, 7, ["Ready-mixed mortar", "Board"])]


@pytest.mark.parametrize(
    ("name", "amount", "words"),
    [
        ("Baseboard, primed, 5-1/4 in", "34 ft", "34 ft of baseboard, primed, 5-1/4 in"),
        ("Finish nails, 2 in", "1,047", "1,047 finish nails, 2 in"),
        ("LED trim", "6", "6 LED trim"),
    ],
)
def test_what_to_have_at_hand_is_said_with_the_amount_first(name: str, amount: str, words: str) -> None:
    assert Supply("x", name, amount).in_words == words


def test_runs_list_a_material_once_and_buy_no_more_packages_than_the_list_has() -> None:
    worked = [date(2026, 12, day) for day in (1, 2, 3, 4)]
    paint = Supply("p", "Paint", "2 gal", "2", "gal")
    needs = [
        Need(worked[0], paint, "Walls"),
        Need(worked[0], paint, "Ceiling"),
        Need(worked[2], Supply("p", "Paint", "1 gal", "1", "gal"), "Trim"),
        Need(worked[3], paint, "Doors"),
    ]
    listed = {"p": [Fraction(5), Fraction(1), Fraction(1)]}
    runs = plan_runs(needs, {}, worked, 1, {}, listed)
    bought = [(buy.work, buy.amount, buy.packages) for run in runs for _, buys in run.stops for buy in buys]
    assert bought == [
        ("Walls and Ceiling", "4 gal", "1 × 5 gal"),
        ("Trim", "1 gal", ""),
        ("Doors", "2 gal", "2 × 1 gal"),
    ]
    assert plan_runs(needs, {}, worked, 1)[0].stops[0][1][0].packages is None
    screws = [Need(worked[0], Supply("s", "Screws", "12", "12"), "Board")]
    pieces = {"s": [Fraction(size) for size in (10, 1, 1)]}
    assert plan_runs(screws, {}, worked, 1, {}, pieces)[0].stops[0][1][0].packages == "1 × 10 and 2"


def test_runs_leave_out_what_is_on_hand_which_the_first_to_need_it_gets() -> None:
    worked = [date(2026, 12, day) for day in (1, 2, 3, 4)]
    boards = [Supply("b", "Board", f"{count}", f"{count}") for count in (4, 6)]
    needs = [Need(worked[3], boards[1], "Ceiling"), Need(worked[0], boards[0], "Walls")]
    material = {
        "code": "b",
        "packages": [{"size": "1", "count": 5}],
        "on_hand": {"amount": "5", "cost": "92.50"},
    }
    bases = [{"materials": [material, {"code": "t", "packages": []}]}]
    lacking = less_stock(needs, stock_listed(bases))
    assert [(need.work, need.supply.needed) for need in lacking] == [("Ceiling", "5")]
    (run,) = plan_runs(lacking, {}, worked, 1, {}, packages_listed(bases))
    assert [(buy.amount, buy.packages) for _, buys in run.stops for buy in buys] == [("5", "5")]
