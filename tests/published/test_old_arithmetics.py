"""Squares of flooring and rolls of paper, from arithmetic books before 1920."""

from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.packaging import Offer, cover
from catalog.measures.lengths import parse_length, sqft_from_nm2
from catalog.measures.units import convert
from tests.published import Check, Source, every_check
from tests.published.calculations import area

AGAINST = "two old courses of mathematics, The New Student's Reference Work 1914"
MATHEMATICS = Source(
    "A course of mathematics, carpenters' and joiners' work (public domain; the wording is Hutton's, "
    "from memory)",
    "page 86 of the scan",
    "https://books.google.ie/books?id=Bv4JAAAAIAAJ&pg=PA86",
)
ARITHMETIC = Source(
    "Rules for measuring carpenters', tilers' and slaters' work (public domain)",
    "page 374 of the scan",
    "https://books.google.co.ve/books?id=DPo2AAAAMAAJ&pg=PA374",
)
REFERENCE_WORK = Source(
    "The New Student's Reference Work, vol. 5, Arithmetic: Papering (public domain)",
    "1914, page 2186",
    "http://en.wikisource.org/wiki/Page:LA2-NSRW-5-0202.jpg",
)


def squares(length: str, width: str, times: str = "1") -> Fraction:
    """Squares of 100 sq ft in a surface."""
    area_sqft = sqft_from_nm2(parse_length(length) * parse_length(width))
    return convert(area_sqft * Fraction(times), "sq ft", "square")


def papered(strips: str, single_roll: str, in_single: str, in_double: str) -> Decimal:
    """The least cost of so many strips, a double roll at twice the price of a single one."""
    price = Decimal(single_roll)
    offers = [Offer("double", Fraction(in_double), 2 * price), Offer("single", Fraction(in_single), price)]
    return cover(Fraction(strips), offers).cost


SCAN = "the scan runs the fraction of a foot into the number, so it holds to a foot of a square"

CHECKS = (
    Check(
        "a floor of 48 ft 6 in x 24 ft 3 in: 11 squares 76 ft",
        MATHEMATICS,
        "example 1",
        squares,
        {"length": "48' 6\"", "width": "24' 3\""},
        "11.76",
        within="0.01",
        why=SCAN,
    ),
    Check(
        "a floor of 36 ft 3 in x 16 ft 6 in: 5 squares 98 ft",
        MATHEMATICS,
        "example 2",
        squares,
        {"length": "36' 3\"", "width": "16' 6\""},
        "5.98",
        within="0.01",
        why=SCAN,
    ),
    Check(
        "a partition of 173 ft 10 in x 10 ft 7 in: 18.3973 squares",
        MATHEMATICS,
        "example 3",
        squares,
        {"length": "173' 10\"", "width": "10' 7\""},
        "18.3973",
        within="0.0001",
        why="printed cut off after four decimals",
    ),
    Check(
        "a floor of 50 1/2 x 28 ft: 14 squares 14 ft",
        ARITHMETIC,
        "example 1",
        squares,
        {"length": "50' 6\"", "width": "28'"},
        "14.14",
    ),
    Check(
        "a roof over 44 ft 6 in x 18 ft 3 in, flat and half: 12 squares 18 ft",
        ARITHMETIC,
        "example 2",
        squares,
        {"length": "44' 6\"", "width": "18' 3\"", "times": "1.5"},
        "12.18",
        within="0.005",
        why="printed to whole feet of a square",
    ),
    Check(
        "31 strips of paper at 45 cents a single roll: 5.85 for 13 rolls",
        REFERENCE_WORK,
        "papering: 5 strips in a double roll; 2 in a single roll of 24 ft on a wall of 9 ft",
        papered,
        {"strips": "31", "single_roll": "0.45", "in_single": "2", "in_double": "5"},
        "5.85",
    ),
    Check(
        "round the papered room: 62 ft",
        REFERENCE_WORK,
        "papering: a room of 16 x 15 ft",
        area,
        {"code": "floor_perimeter", "unit": "ft", "length": "16", "width": "15", "height": "9"},
        "62",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
