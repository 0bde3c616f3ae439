"""Sheets, screws, compound and tape for gypsum board."""

from decimal import Decimal
from fractions import Fraction

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from estimating.rooms.plan import RoomPlan, rectangle
from estimating.sheet_layout.estimate_by_area import AreaRules, Sheet, estimate_sheets, fasteners_per_sheet
from tests.published import Check, Source, every_check
from tests.published.calculations import needs, packages, take_off_assembly
from tests.published.sources import TEXTBOOK
from tests.specs import assembly, material, operation, uses

AGAINST = "a college text on estimating, a carpentry text, the Navy, rules of thumb"
CARPENTRY = Source(
    "Modern Carpentry (school text), section 11.15.3",
    "2022, page 270",
    "https://www.g-wonlinetextbooks.com/modern-carpentry-2022/292",
)
PLANS = Source("How To Build Plans, quantities of drywall", "as stored", "http://howtobuildplans.com/?p=40")
FORMULAS = Source(
    "Construction estimating formulas, a supplier's page 9",
    "as stored",
    "https://firstlinesales.com/estimating_page_9.htm",
)
RULES_OF_THUMB = Source(
    "Calculating wall studs, drywall, ready-mix, tape, joint compound, nails, screws",
    "as stored",
    "http://www.vbhomerepair.com/calculating-wall-studs--drywall--ready-mix--tape--joint-compound--nails---"
    "screws..html",
)
BOARD = Sheet(8 * NM_PER_FOOT, 4 * NM_PER_FOOT, NM_PER_INCH // 2)
HOUSE = RoomPlan("House", rectangle(50 * NM_PER_FOOT, 24 * NM_PER_FOOT), 8 * NM_PER_FOOT)
INTERIOR_WALLS = {"area": "2384"}  # 149 ft x 8 ft, both sides


def sheets(area_sqft: str, length_ft: str = "8", waste: str = "0") -> Fraction:
    """Whole sheets 4 ft wide for an area, by the rule that lays sheets on a surface."""
    size = Sheet(int(length_ft) * NM_PER_FOOT, 4 * NM_PER_FOOT, 0)
    rules = AreaRules(waste=Fraction(waste) / 100)
    return estimate_sheets(Fraction(area_sqft), Fraction(0), size, rules)["sheets"]


def house_sheets(surface: str) -> int:
    """Sheets bought for the textbook's house with 5 % waste: its outer walls with both sides of its
    inner ones, or its ceiling."""
    hang = material("board", "each", ("1", "1.00"))
    walls = [
        uses(hang, "1 each per 32 sq ft", code, scales_with=code, waste=Fraction(1, 20))
        for code in surface.split(" + ")
    ]
    by_hand = INTERIOR_WALLS if "area" in surface else {}
    (line,) = take_off_assembly(assembly("board", "ceiling", *walls), {"house": HOUSE}, by_hand).materials
    assert line.purchase is not None
    return line.purchase.package_count


def per_1000_sqft_of_house() -> Fraction:
    """Feet of joint between sheets, inside corners and ceiling line of the house, for 1,000 sq ft."""
    walls = estimate_sheets(Fraction(1184), Fraction(2 * (148 + 4 * 8)), BOARD)["joint"]
    ceiling = estimate_sheets(Fraction(1200), Fraction(148), BOARD)["joint"]
    return (walls + ceiling + 148 + 4 * 8) / (1184 + 1200) * 1000


def screws_per_sqft(spacing_in: str) -> Fraction:
    """Screws for a square foot of whole sheets on framing 16 in apart."""
    rules = AreaRules(
        gap_nm=0,
        fastener_spacing_nm=int(spacing_in) * NM_PER_INCH,
        row_spacing_nm=16 * NM_PER_INCH,
        edge_nm=3 * NM_PER_INCH // 8,
    )
    return fasteners_per_sheet(BOARD, rules) / BOARD.area_sqft


EXAMPLE_16_2 = "Example 16-2: 346 ft x 10 ft x 2 sides"
EXAMPLE_16_3 = "Example 16-3, residential building"

CHECKS = (
    Check(
        "outer walls of 148 ft x 8 ft: 37 sheets",
        TEXTBOOK,
        EXAMPLE_16_3,
        sheets,
        {"area_sqft": "1184"},
        "37",
    ),
    Check(
        "both sides of 149 ft x 8 ft: 75 sheets",
        TEXTBOOK,
        EXAMPLE_16_3,
        sheets,
        {"area_sqft": "2384"},
        "75",
    ),
    Check("a ceiling of 24 x 50 ft: 38 sheets", TEXTBOOK, EXAMPLE_16_3, sheets, {"area_sqft": "1200"}, "38"),
    Check(
        "all walls of the house with 5 % waste: 118 sheets, taken off and bought",
        TEXTBOOK,
        f"{EXAMPLE_16_3}: (37 + 75) x 1.05",
        house_sheets,
        {"surface": "wall_gross + area"},
        "118",
        why="the book rounds each area up before the waste, we only once; both come to 118 here",
    ),
    Check(
        "the ceiling with 5 % waste: 40 sheets, taken off and bought",
        TEXTBOOK,
        f"{EXAMPLE_16_3}: 38 x 1.05",
        house_sheets,
        {"surface": "ceiling"},
        "40",
    ),
    Check(
        "346 ft of 10 ft wall on both sides, in upright sheets of 10 ft: 183",
        TEXTBOOK,
        "page 203, top: 10-foot sheets installed vertically",
        sheets,
        {"area_sqft": "6920", "length_ft": "10", "waste": "5"},
        "183",
        ours="182",
        differs="Whole sheets along each side (87 + 87) and then 5 % give 183; we divide the area, 181.65, "
        "and round up once. How the book came to 183 stands on a page not read.",
    ),
    Check(
        "7,000 sq ft takes 7,000 screws",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 1,000 screws per 1,000 sq ft",
        needs,
        {"amount": "7000", "rate": "1000 screws per thousand sq ft", "unit": "each"},
        "7000",
    ),
    Check(
        "7,000 sq ft takes 35 gallons of ready-mixed compound",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 5 gallons per 1,000 sq ft",
        needs,
        {"amount": "7000", "rate": "5 gallons per thousand sq ft", "unit": "gal"},
        "35",
    ),
    Check(
        "7,000 sq ft takes 7 pails of 5 gallons",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 35 gallons",
        packages,
        {"amount": "7000", "rate": "5 gallons per thousand sq ft", "unit": "gal", "size": "5"},
        "7",
        basis="derived",
    ),
    Check(
        "7,000 sq ft takes 2,660 ft of tape",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 380 ft per 1,000 sq ft",
        needs,
        {"amount": "7000", "rate": "380 lf per thousand sq ft", "unit": "ft"},
        "2660",
    ),
    Check(
        "2,660 ft of tape with 10 % waste: 59 rolls of 50 ft",
        TEXTBOOK,
        EXAMPLE_16_2,
        packages,
        {
            "amount": "7000",
            "rate": "380 lf per thousand sq ft",
            "unit": "ft",
            "size": "50",
            "waste": "10",
        },
        "59",
    ),
    Check(
        "346 ft x 10 ft x 2 sides itself takes 6,920 screws",
        TEXTBOOK,
        f'{EXAMPLE_16_2}: 6,920 sq ft, "use 7,000 sf"',
        needs,
        {"amount": "6920", "rate": "1000 screws per thousand sq ft", "unit": "each"},
        "7000",
        ours="6920",
        differs="The book rounds 6,920 sq ft up to 7,000 first. We round once, when packages are counted.",
    ),
    Check(
        "346 ft x 10 ft x 2 sides itself takes a roll of tape less",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 59 rolls for 7,000 sq ft",
        packages,
        {
            "amount": "6920",
            "rate": "380 lf per thousand sq ft",
            "unit": "ft",
            "size": "50",
            "waste": "10",
        },
        "59",
        ours="58",
        differs="57.85 rolls for 6,920 sq ft, 58.52 for the 7,000 that the book rounds up to.",
    ),
    Check(
        "joints, corners and ceiling line of the house come near 380 ft of tape per 1,000 sq ft",
        TEXTBOOK,
        "page 203: 380 ft of tape per 1,000 sq ft of surface",
        per_1000_sqft_of_house,
        {},
        "380",
        within="38",
        why="a tenth: the book's is a rate of thumb for any sheets, ours the geometry of 4 x 8 ft sheets "
        "on one "
        "open house",
    ),
    Check(
        "joints of the house against an older rule of thumb, 480 ft per 1,000 sq ft",
        RULES_OF_THUMB,
        "tape 0.48 ft per sq ft",
        per_1000_sqft_of_house,
        {},
        "480",
        within="48",
        why="a tenth, as for the textbook's rate",
        ours="344.0",
        differs="Likely for small rooms, with more corners and more short sheets to a square "
        "foot, "
        "and for waste. A house of one open room has the least joint that 4 x 8 ft sheets can have.",
    ),
    Check(
        "screws each 12 in on framing 16 in apart over a 4 x 8 ft sheet, against 1.125 a square foot",
        RULES_OF_THUMB,
        "screws 1.125 each per sq ft",
        screws_per_sqft,
        {"spacing_in": "12"},
        "1.125",
        within="0.1",
        why="a tenth: 1.125 is 36 a sheet, nine along each of four studs of an upright sheet; across the "
        "framing it is five along each of seven, 35",
    ),
    Check(
        "screws each 16 in, as the Navy allows on walls, against 1,000 per 1,000 sq ft",
        TEXTBOOK,
        f"{EXAMPLE_16_2}: 1,000 screws per 1,000 sq ft; spacing of NAVEDTRA 14044, chapter 5",
        screws_per_sqft,
        {"spacing_in": "16"},
        "1",
        within="0.1",
        why="a tenth, as for the rule of thumb",
        ours="0.875",
        differs="28 a whole sheet, four along each of seven studs; cut pieces take a row more at the cut, so "
        "that rooms come to about one a square foot. See test_shipped_rates.py.",
    ),
    Check(
        "135 ft of wall 8 ft high: 34 sheets",
        PLANS,
        "example: 1,080 sq ft divided by 32",
        sheets,
        {"area_sqft": "1080"},
        "34",
    ),
    Check(
        "1,060 sq ft of wall in 4 x 8 ft sheets: 34",
        CARPENTRY,
        "estimating wall sheathing: 33.1, rounded up",
        sheets,
        {"area_sqft": "1060"},
        "34",
    ),
    Check(
        "1,000 sq ft in 4 x 8 ft sheets: 32",
        FORMULAS,
        "drywall board installation, per 1,000 ft",
        sheets,
        {"area_sqft": "1000"},
        "32",
    ),
    Check(
        "1,000 sq ft in 4 x 10 ft sheets: 25",
        FORMULAS,
        "drywall board installation, per 1,000 ft",
        sheets,
        {"area_sqft": "1000", "length_ft": "10"},
        "25",
    ),
    Check(
        "1,000 sq ft in 4 x 12 ft sheets: 21",
        FORMULAS,
        "drywall board installation, per 1,000 ft",
        sheets,
        {"area_sqft": "1000", "length_ft": "12"},
        "21",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()


def test_the_whole_house_by_the_textbook_and_by_ours() -> None:
    """One assembly of board, screws, compound, tape and labor, on the outer walls, both sides of the inner
    ones and the ceiling. The textbook's side is its rates on its own 4,768 sq ft, rounded up to packages."""
    screws, compound = material("screws", "each", ("1000", "30.00")), material("mud", "gal", ("5", "20.00"))
    tape = material("tape", "ft", ("50", "3.00"))
    surfaces = ("wall_gross", "area", "ceiling")
    finish = assembly(
        "board the house",
        "ceiling",
        *(
            uses(used, rate, code, scales_with=code, waste=waste)
            for code in surfaces
            for used, rate, waste in (
                (screws, "1000 each per thousand sq ft", Fraction(0)),
                (compound, "5 gal per thousand sq ft", Fraction(0)),
                (tape, "380 ft per thousand sq ft", Fraction(1, 10)),
            )
        ),
        *(
            uses(operation("hang", "33 MH per 1,000 SF", "sq ft"), measure=code, scales_with=code)
            for code in surfaces
        ),
    )
    result = take_off_assembly(finish, {"house": HOUSE}, INTERIOR_WALLS)
    bought = {line.material.name: line.purchase for line in result.materials if line.purchase}
    surface_sqft = 1184 + 2384 + 1200  # the textbook's three areas
    assert bought["screws"].required == surface_sqft
    assert bought["mud"].required * 1000 == 5 * surface_sqft
    assert (bought["mud"].package_count, bought["mud"].cost) == (5, Decimal("100.00"))  # 23.84 gallons
    assert bought["tape"].package_count == 40  # 1,811.84 ft and 10 % are 1,993.02 ft
    assert result.items[0].hours * 1000 == 33 * surface_sqft
