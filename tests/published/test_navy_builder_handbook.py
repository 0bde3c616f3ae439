"""Man-hours, man-days and workdays by the Navy's procedure for builders."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest

from catalog.measures.room_measures import ALL_OPENINGS, DeductRule
from tests.published import Check, Source, every_check
from tests.published.calculations import hours, line, priced, room, take_off_assembly
from tests.published.sources import ADVANCED
from tests.specs import assembly, operation, uses

AGAINST = "NAVEDTRA 14045 (quoting NAVFAC P-405), NAVFAC MO-321"
DURATIONS = replace(
    ADVANCED, address="http://constructionmanuals.tpub.com/14045/css/Material-Estimates-71.htm"
)
FACILITIES = Source(
    "NAVFAC MO-321, Facilities Management (U.S. Navy, public domain)",
    "as stored at tpub.com",
    "http://navalfacilities.tpub.com/mo321/mo3210073.htm",
)
DRYWALL = "33 MH per 1,000 SF"  # 1/2 in drywall over wall studs, the handbook quoting NAVFAC P-405


def man_days(amount: str, rate: str, factor: str = "1") -> Fraction:
    return hours(amount, rate, factor=factor) / 8


def workdays(man_hours: str, crew: str, hours_a_day: str) -> int:
    """Whole workdays of one of the crew."""
    share = replace(line("work", "0"), extra_hours=Fraction(man_hours) / Fraction(crew))
    return priced(share, hours_per_day=Fraction(hours_a_day)).working_days


def unrounded_workdays(man_hours: str, crew: str, hours_a_day: str) -> Fraction:
    share = replace(line("work", "0"), extra_hours=Fraction(man_hours) / Fraction(crew))
    return Fraction(priced(share).hours) / Fraction(hours_a_day)


def craft_hours(tasks: str) -> Decimal:
    works = [replace(line(task, "0"), extra_hours=Fraction(task)) for task in tasks.split()]
    return priced(*works).hours


CHECKS = (
    Check(
        "16,000 sq ft of drywall takes 528 man-hours",
        ADVANCED,
        "p. 2-27, worked example: quantity / unit size x man-hours",
        hours,
        {"amount": "16000", "rate": DRYWALL},
        "528",
        basis="derived",
    ),
    Check(
        "16,000 sq ft of drywall takes 66 man-days of 8 hours",
        ADVANCED,
        "p. 2-27, worked example",
        man_days,
        {"amount": "16000", "rate": DRYWALL},
        "66",
    ),
    Check(
        "16,000 sq ft of drywall with its delays takes 70 man-days",
        ADVANCED,
        "p. 2-27 and p. 2-29: 66 grow to 70, a delay factor of about 1.06",
        man_days,
        {"amount": "16000", "rate": DRYWALL, "factor": "1.06"},
        "70",
        within="0.5",
        why="printed to whole man-days",
    ),
    Check(
        "70 man-days of a crew of 12 take 8.3 workdays",
        DURATIONS,
        "p. 2-29: man-days / crew / availability 0.75 / man-day equivalent 0.9375",
        unrounded_workdays,
        {"man_hours": "560", "crew": "12", "hours_a_day": "5.625"},
        "8.3",
        within="0.05",
        why="printed to a tenth; 5.625 productive hours a day are 8 x 0.75 x 0.9375",
    ),
    Check(
        "70 man-days of a crew of 12 are planned as 9 workdays",
        DURATIONS,
        "p. 2-29: rounded up to whole workdays",
        workdays,
        {"man_hours": "560", "crew": "12", "hours_a_day": "5.625"},
        "9",
    ),
    Check(
        "528 man-hours alone at 7.5 hours a day are 71 workdays",
        ADVANCED,
        "p. 2-28: man-day equivalent 0.9375 of 8 hours, availability 1",
        workdays,
        {"man_hours": "528", "crew": "1", "hours_a_day": "7.5"},
        "71",
        basis="case",
    ),
    Check(
        "tasks of 3.2 and 1.1 hours are 4.3 hours",
        FACILITIES,
        "chapter on estimating, items 14-15: each task to the nearest tenth",
        craft_hours,
        {"tasks": "3.2 1.1"},
        "4.3",
        basis="case",
    ),
    Check(
        "the hours of 3.2 and 1.1 are allowed as 5 whole hours",
        FACILITIES,
        "chapter on estimating, items 14-15: the total rounded up to the next whole hour",
        craft_hours,
        {"tasks": "3.2 1.1"},
        "5",
        basis="case",
        ours="4.30",
        differs="The Navy rounds a craft's total up to whole hours to schedule crews. We bill hours to the "
        "hundredth and round up only the working days, or a price would rise by part of an hour for "
        "each line.",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()


# Whole rooms. The handbook's side is its own formula on quantities worked out by hand:
# MD = quantity / unit size x man-hours per unit / 8 x delay factor.
@pytest.mark.parametrize(
    ("length", "width", "height", "doors", "windows", "deduct", "quantity_sqft", "delay"),
    [
        pytest.param("10'", "12'", "8'", "", "", ALL_OPENINGS, 352, "1", id="10 x 12 ft, no opening"),
        pytest.param("10'", "12'", "8'", "", "", ALL_OPENINGS, 352, "1.06", id="10 x 12 ft, delays 6 %"),
        pytest.param(
            "24'", "50'", "8'", "", "", ALL_OPENINGS, 1184, "1", id="the outer walls of a 24 x 50 ft house"
        ),
        pytest.param(
            "9' 6\"",
            "7' 4\"",
            "8'",
            "2' 8\" x 6' 8\"",
            "2' x 3'",
            ALL_OPENINGS,
            # 2 x (9 1/2 + 7 1/3) x 8 = 269 1/3, less 17 7/9 and 6
            Fraction(2210, 9),
            "1.25",
            id="bath with door and window off",
        ),
        pytest.param(
            "9' 6\"",
            "7' 4\"",
            "8'",
            "2' 8\" x 6' 8\"",
            "2' x 3'",
            DeductRule("none"),
            Fraction(808, 3),
            "1",
            id="bath measured solid",
        ),
    ],
)
def test_a_whole_room_by_the_handbook_and_by_ours(
    length: str,
    width: str,
    height: str,
    doors: str,
    windows: str,
    deduct: DeductRule,
    quantity_sqft: Fraction | int,
    delay: str,
) -> None:
    handbook_man_days = Fraction(quantity_sqft) / 1000 * 33 / 8 * Fraction(delay)
    hang = uses(operation("hang drywall", DRYWALL, "sq ft"), f"{delay} sq ft per sq ft", "wall_net")
    plan = room(length, width, height, doors, windows)
    (work,) = take_off_assembly(assembly("drywall", "wall_net", hang), {"room": plan}, deduct=deduct).items
    assert work.hours / 8 == handbook_man_days
