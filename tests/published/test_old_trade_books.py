"""Painting and plastering speeds and measuring rules of trade books before 1920."""

from fractions import Fraction

import pytest

from tests.published import Check, Source, every_check
from tests.published.calculations import area, hours, needs, room, take_off_assembly
from tests.published.sources import GRIFFITH
from tests.specs import assembly, operation, uses

AGAINST = "Griffith 1916, Cyclopedia 1907-12, Colliery Engineer 1899, Radford"
CYCLOPEDIA = Source(
    "Cyclopedia of Architecture, Carpentry and Building, American Technical Society (public domain)",
    "about 1907-12",
    "https://chestofbooks.com/architecture/Cyclopedia-Carpentry-Building-4-6/Painting-Estimations.html",
)
PLASTER_MEASURE = Source(
    CYCLOPEDIA.title,
    CYCLOPEDIA.edition,
    "http://chestofbooks.com/architecture/Cyclopedia-Carpentry-Building-4-6/Plastering-Measurements.html",
)
COLLIERY = Source(
    "The Colliery Engineer Co., A Treatise on Architecture and Building Construction, vol. 4 (public domain)",
    "about 1899",
    "https://chestofbooks.com/architecture/Building-Construction-V4/Estimating-the-Plastering-Work.html",
)
COLLIERY_RULES = Source(
    COLLIERY.title,
    COLLIERY.edition,
    "http://chestofbooks.com/architecture/Building-Construction-V4/Plastering.html",
)
SUPERINTENDENCE = Source(
    'F. E. Kidder, Building Construction and Superintendence, "Measuring Plaster Work" (public domain; '
    "author from memory)",
    "section 360",
    "http://chestofbooks.com/architecture/Construction-Superintendence/Plastering-Superintendence-Continued.html",
)
RADFORD = Source(
    "Radford's Cyclopedia of Construction, vol. 10 (public domain)",
    "about 1909",
    "http://gluedideas.com/content-collection/Radfords-cyclopedia-of-construction-Vol-10-Paint-Mixing-House-"
    "Decoration/Preparing-for-Painters-Work_P1.html",
)
ROOM_12_BY_10 = {"length": "12'", "width": "10'", "height": "8'"}


def days(amount: str, rate: str) -> Fraction:
    return hours(amount, rate) / 8


def cornice(runs: str) -> Fraction:
    """Square feet of cornice, each run "feet x girth"."""
    parts = [run.split(" x ") for run in runs.split(", ")]
    return sum(
        (needs(feet, f"{girth} sq ft per ft", "sq ft", "length") for feet, girth in parts), Fraction(0)
    )


def two_coats(first: str, second: str) -> Fraction:
    """Hours for a room's walls, first coat and then second at the speeds given."""
    coats = [uses(operation(rate, rate, "sq ft"), measure="wall_net") for rate in (first, second)]
    (work,) = take_off_assembly(assembly("paint", "wall_net", *coats), {"room": room(**ROOM_12_BY_10)}).items
    return work.hours


CHECKS = (
    Check(
        "450 sq ft of first coat at 150 sq ft an hour: 3 hours",
        GRIFFITH,
        "Painting: first coat",
        hours,
        {"amount": "450", "rate": "150 SF per hour"},
        "3",
        basis="derived",
    ),
    Check(
        "450 sq ft of second coat at 90 sq ft an hour: 5 hours",
        GRIFFITH,
        "Painting: second coat",
        hours,
        {"amount": "450", "rate": "90 SF per hour"},
        "5",
        basis="derived",
    ),
    Check(
        "new work of 1,050 sq ft at 350 sq ft a gallon: 3 gallons",
        GRIFFITH,
        "Painting: new work",
        needs,
        {"amount": "1050", "rate": "350 SF per gallon", "unit": "gal"},
        "3",
        basis="derived",
    ),
    Check(
        "old work of 1,050 sq ft at 250 sq ft a gallon: 4.2 gallons",
        GRIFFITH,
        "Painting: old work, 250 to 300",
        needs,
        {"amount": "1050", "rate": "250 SF per gallon", "unit": "gal"},
        "4.2",
        basis="derived",
    ),
    Check(
        "walls measured solid: a door and a window stay in 352 sq ft",
        GRIFFITH,
        "Painting: no deduction of windows or doors",
        area,
        {
            "code": "wall_net",
            "deduct": "none",
            "doors": "2' 8\" x 6' 8\"",
            "windows": "3' x 4'",
            **ROOM_12_BY_10,
        },
        "352",
        basis="case",
    ),
    Check(
        "a priming coat of 100 square yards a day: 900 sq ft in a day",
        CYCLOPEDIA,
        "Painting: priming coat",
        days,
        {"amount": "900", "rate": "100 square yards per 8 hours"},
        "1",
        basis="derived",
    ),
    Check(
        "a second coat of 80 square yards a day: 720 sq ft in a day",
        CYCLOPEDIA,
        "Painting: second coat",
        days,
        {"amount": "720", "rate": "80 square yards per 8 hours"},
        "1",
        basis="derived",
    ),
    Check(
        "80 square yards a day of 8 hours is the 90 sq ft an hour of the other book",
        GRIFFITH,
        "Painting: second coat 90 sq ft an hour, against the Cyclopedia's 80 square yards a day",
        lambda rate: 90 * hours("1", rate),
        {"rate": "80 square yards per 8 hours"},
        "1",
        basis="derived",
    ),
    Check(
        "two coats over 1,000 sq ft by the rule of area over 200: 5 gallons",
        RADFORD,
        "Preparing for painters' work: gallons for two coats = area / 200",
        needs,
        {"amount": "1000", "rate": "400 sq ft per gal", "unit": "gal", "coats": "2"},
        "5",
        basis="derived",
    ),
    Check(
        "half of the openings taken off plaster: 335.5 sq ft of a 352 sq ft wall with 33 sq ft of openings",
        PLASTER_MEASURE,
        "Plastering is measured with one-half of the area of openings deducted",
        area,
        {"code": "wall_net", "doors": "3' x 7'", "windows": "3' x 4'", **ROOM_12_BY_10},
        "335.5",
        basis="case",
        ours="319",
        differs="We deduct openings whole, from a size up, or not at all: half is a plasterer's way to be "
        "paid for working to the grounds. A firm that wants it lies between our 319 (all off) and 352 "
        "(none off).",
    ),
    Check(
        "an opening of just under 7 square yards stays in the plaster",
        COLLIERY_RULES,
        "article 36: no deduction for openings of less extent than 7 superficial yards",
        area,
        {
            "code": "wall_net",
            "deduct": "above",
            "above": "63",
            "doors": "8' x 7' 10\"",
            **ROOM_12_BY_10,
        },
        "352",
        basis="case",
    ),
    Check(
        "an opening of 7 square yards comes off",
        COLLIERY_RULES,
        "article 36: less than 7 yards stays in, so 7 yards doesn't",
        area,
        {"code": "wall_net", "deduct": "above", "above": "63", "doors": "9' x 7'", **ROOM_12_BY_10},
        "289",
        basis="case",
    ),
    Check(
        "the same rule in another book: openings below 7 square yards are not allowed for",
        SUPERINTENDENCE,
        "section 360",
        area,
        {
            "code": "wall_net",
            "deduct": "above",
            "above": "63",
            "doors": "6' x 7', 9' x 7'",
            **ROOM_12_BY_10,
        },
        "289",
        basis="case",
    ),
    Check(
        "second-story walls of 609 ft x 9 ft: 5,481 sq ft",
        COLLIERY,
        "article 69, schedule of three-coat work",
        area,
        {"code": "wall_gross", "length": "204' 6\"", "width": "100'", "height": "9'"},
        "5481",
        why="609 ft round a rectangle of 204.5 x 100 ft",
    ),
    Check(
        "first-story walls of 542 ft x 9 ft 9 in: 5,284.5 sq ft",
        COLLIERY,
        "article 69, schedule of three-coat work",
        area,
        {"code": "wall_gross", "length": "171'", "width": "100'", "height": "9' 9\""},
        "5284.5",
        basis="derived",
    ),
    Check(
        "first-story walls at the height as printed, 9 ft 9 3/8 in",
        COLLIERY,
        "article 69, schedule of three-coat work: 542' x 9' 9 3/8\" printed as 5,284.5 sq ft",
        area,
        {"code": "wall_gross", "length": "171'", "width": "100'", "height": "9' 9 3/8\""},
        "5284.5",
        within="0.5",
        why="printed to half a square foot",
        ours="5301.4",
        differs="The printed product is that of 9 ft 9 in: the 3/8 in of the printed height is not in it "
        "(left out by the author, or a misprint). Ours multiplies what is given.",
    ),
    Check(
        "all of the three-coat plastering, 16,676.5 sq ft, in square yards",
        COLLIERY,
        "article 69: total of three-coat plastering",
        needs,
        {"amount": "16676.5", "rate": "1 square yard per square yard", "unit": "sq yd"},
        "1853",
        within="0.5",
        why="printed to whole square yards",
    ),
    Check(
        "cornices of 147 ft x 2 ft girth and 493 ft x 1 ft: 787 sq ft",
        COLLIERY,
        "article 69: total of cornices",
        cornice,
        {"runs": "147 x 2, 493 x 1"},
        "787",
    ),
    Check(
        "a frame and a door put together and set in 2.5 hours: four take 10",
        COLLIERY,
        "article 42, door frame, putting together and setting",
        hours,
        {"amount": "4", "rate": "2.5 hours each", "measure_code": "each"},
        "10",
        basis="derived",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()


# The book's way by hand: 352 sq ft of wall at each speed, one coat after the other.
@pytest.mark.parametrize(
    ("first", "second", "by_hand"),
    [
        pytest.param(
            "150 SF per hour", "90 SF per hour", Fraction(352, 150) + Fraction(352, 90), id="Griffith"
        ),
        pytest.param(
            "100 square yards per 8 hours",
            "80 square yards per 8 hours",
            (Fraction(352, 900) + Fraction(352, 720)) * 8,
            id="Cyclopedia, days of 8 hours",
        ),
    ],
)
def test_a_whole_room_painted_by_the_book_and_by_ours(first: str, second: str, by_hand: Fraction) -> None:
    assert two_coats(first, second) == by_hand


def test_half_of_the_openings_lies_between_our_two_rules() -> None:
    given = {"doors": "3' x 7'", "windows": "3' x 4'", **ROOM_12_BY_10}
    all_off, none_off = (area("wall_net", deduct=rule, **given) for rule in ("all", "none"))
    assert (all_off + none_off) / 2 == Fraction("335.5")
