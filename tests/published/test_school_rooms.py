"""Rooms of school problems and home guides: areas, openings taken off, and the bill."""

from decimal import Decimal
from fractions import Fraction

from estimating.pricing.price import price
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import RoomUse, Work
from tests.published import Check, Source, every_check
from tests.published.calculations import area, at_cost, room, take_off_assembly
from tests.specs import assembly, material, operation, uses

AGAINST = "problems and worked examples with their answers"
SHAALAA = Source(
    "Question bank: a room 5 m long, 4.5 m wide and 3.6 m high",
    "question 110309",
    "https://www.shaalaa.com/question-bank-solutions/a-room-5-m-long-45-m-wide-and-36-m-high-have-one-door-15-m-"
    "by-24-m-and-two-windows-each-1-m-by-075-m-find-i-the-area-of-its-walls-excluding-door-and-windows-surface-"
    "area-of-a-cuboid_110309",
)
BISSOY = Source(
    "Multiple-choice question: painting the walls of a room", "501262", "https://bissoy.com/mcq/501262"
)
ESARAL = Source(
    "The walls and ceiling of a room are to be plastered",
    "question 93561",
    "https://www.esaral.com/q/the-walls-and-ceiling-of-a-room-are-to-be-plastered-93561",
)
SPARKLE = Source(
    "A room 6 m, 5 m, 3 m with a door and three windows",
    "as stored",
    "https://sciencesparkle.com/question/the-length-breath-height-of-a-room-are-6m-5m-3m-respectively-the-room-"
    "has-one-door-2-%C2%BD-m-x-1-%C2%BD-m-and-3-windows-of-1-5m-x-1-2m-each/",
)
TESTS = Source(
    "Mathematical reasoning, question 65: wallpaper for four walls",
    "as stored",
    "http://www.4tests.com/exams/questions.asp?qid=3655&nqid=3655&rev=1&dir=v&exid=9083677&qc=65",
)
JISKHA = Source(
    "A room 18 feet long, 14 feet wide, 8 feet high",
    "as stored",
    "http://www.jiskha.com/display.cgi?id=1298600664",
)
HOMESTEADY = Source(
    "How to figure the cost of paint by square feet",
    "as stored",
    "https://homesteady.com/how-5640614-figure-cost-paint-square-feet.html",
)
SAMPLE_ROOM = Source(
    "Estimating Paint Coverage", "as stored", "https://discussions.tommymac.us/estimating-paint-coverage/"
)
HOW_STUFF_WORKS = Source(
    "Estimating interior paint",
    "as stored",
    "https://home.howstuffworks.com/home-improvement/home-diy/painting/estimating-interior-paint.htm",
)


def metric_area(code: str, **plan: str) -> Fraction:
    return area(code, "m2", bare="m", **plan)


def metric_bill(codes: str, rate: str, **plan: str) -> Decimal:
    """What work on these surfaces comes to at so much a square meter: an hour a square meter at that rate."""
    paint = operation("paint", "1 hour per m2", "sq ft")
    surfaces = [uses(paint, measure=code, scales_with=code) for code in codes.split(" + ")]
    work = Work(
        "paint", "Paint", "finish", assembly=assembly("paint", "ceiling", *surfaces), rooms=(RoomUse("room"),)
    )
    result = take_off({"room": room(bare="m", **plan)}, [work])
    return price(result, at_cost(labor_rate=Decimal(rate))).total


def paint_bill(gallon: str, coverage: str, coats: str, **plan: str) -> Decimal:
    """Whole gallons bought for the walls of a room."""
    return _paint(gallon, coverage, coats, **plan)[1]


def gallons(coverage: str, coats: str, **plan: str) -> Fraction:
    return _paint("1.00", coverage, coats, **plan)[0]


def _paint(gallon: str, coverage: str, coats: str, **plan: str) -> tuple[Fraction, Decimal]:
    paint = material("paint", "gal", ("1", gallon))
    rolled = uses(paint, f"{coverage} sq ft per gal", "wall_net", times=int(coats))
    (line,) = take_off_assembly(assembly("paint", "wall_net", rolled), {"room": room(**plan)}).materials
    assert line.purchase is not None
    return line.required, line.purchase.cost


FIVE_BY_FOUR = {
    "length": "5",
    "width": "4.5",
    "height": "3.6",
    "doors": "1.5 x 2.4",
    "windows": "1 x 0.75, 1 x 0.75",
}
TWELVE_BY_NINE = {
    "length": "12.5",
    "width": "9",
    "height": "7",
    "doors": "1.2 x 2.5, 1.2 x 2.5",
    "windows": "1.5 x 1, 1.5 x 1, 1.5 x 1, 1.5 x 1",
}
SIX_BY_FIVE = {
    "length": "6",
    "width": "5",
    "height": "3",
    "doors": "1.5 x 2.5",
    "windows": "1.5 x 1.2, 1.5 x 1.2, 1.5 x 1.2",
}
PLASTERED = {"length": "4.5", "width": "3", "height": "3.5"}
TEN_BY_TWELVE = {
    "length": "10",
    "width": "12",
    "height": "8",
    "doors": "3 x 7",
    "windows": "2 x 3, 2 x 3",
}
EIGHTEEN = {"length": "18", "width": "14", "height": "8"}
CHECKS = (
    Check("walls 68.4 m2", SHAALAA, "(i)", metric_area, {"code": "wall_gross", **FIVE_BY_FOUR}, "68.4"),
    Check(
        "walls without door and windows 63.3 m2",
        SHAALAA,
        "(i)",
        metric_area,
        {"code": "wall_net", **FIVE_BY_FOUR},
        "63.3",
    ),
    Check(
        "walls at 4.50 a square metre: 284.85",
        SHAALAA,
        "(ii), taken off and priced",
        metric_bill,
        {"codes": "wall_net", "rate": "4.50", **FIVE_BY_FOUR},
        "284.85",
    ),
    Check(
        "ceiling at 9 a square metre: 202.50",
        SHAALAA,
        "(iii), taken off and priced",
        metric_bill,
        {"codes": "ceiling", "rate": "9.00", **FIVE_BY_FOUR},
        "202.50",
    ),
    Check(
        "two doors and four windows off 301 m2: 289 m2",
        BISSOY,
        "answer",
        metric_area,
        {"code": "wall_net", **TWELVE_BY_NINE},
        "289",
    ),
    Check(
        "walls at 3.50 a square metre: 1,011.50",
        BISSOY,
        "answer, taken off and priced",
        metric_bill,
        {"codes": "wall_net", "rate": "3.50", **TWELVE_BY_NINE},
        "1011.50",
    ),
    Check(
        "walls and ceiling 66 m2",
        ESARAL,
        "solution",
        metric_area,
        {"code": "wall_gross+ceiling", **PLASTERED},
        "66",
    ),
    Check(
        "walls and ceiling at 8 a square metre: 528",
        ESARAL,
        "solution, taken off and priced",
        metric_bill,
        {"codes": "wall_gross + ceiling", "rate": "8.00", **PLASTERED},
        "528",
    ),
    Check("floor 30 m2", SPARKLE, "(i)", metric_area, {"code": "floor", **SIX_BY_FIVE}, "30"),
    Check(
        "walls without door and windows 56.85 m2",
        SPARKLE,
        "(iii)",
        metric_area,
        {"code": "wall_net", **SIX_BY_FIVE},
        "56.85",
    ),
    Check(
        "whitewash at 12 a square metre: 682.20",
        SPARKLE,
        "(iii), taken off and priced",
        metric_bill,
        {"codes": "wall_net", "rate": "12.00", **SIX_BY_FIVE},
        "682.20",
    ),
    Check(
        "four walls of 24 x 18 ft, 9 ft high: 84 square yards",
        TESTS,
        "explanation of the answer",
        area,
        {"code": "wall_gross", "unit": "sq yd", "length": "24", "width": "18", "height": "9"},
        "84",
    ),
    Check(
        "walls of 18 x 14 ft, 8 ft high: 512 sq ft",
        JISKHA,
        "answer",
        area,
        {"code": "wall_gross", **EIGHTEEN},
        "512",
    ),
    Check(
        "two coats at 256 sq ft a gallon of 9.50: 38.00",
        JISKHA,
        "answer: 2 gallons a coat, 2 coats; the last product left to the reader",
        paint_bill,
        {"gallon": "9.50", "coverage": "256", "coats": "2", **EIGHTEEN},
        "38.00",
        basis="derived",
    ),
    Check(
        "walls and ceiling of 15 x 12 ft, 8 ft high: 612 sq ft",
        HOMESTEADY,
        "example: 432 and 180",
        area,
        {"code": "wall_gross+ceiling", "length": "15", "width": "12", "height": "8"},
        "612",
    ),
    Check(
        "sample room: walls and ceiling 472 sq ft",
        SAMPLE_ROOM,
        "sample room of 10 x 12 ft",
        area,
        {"code": "wall_gross+ceiling", **TEN_BY_TWELVE},
        "472",
    ),
    Check(
        "sample room: two windows and a doorway off, 439 sq ft",
        SAMPLE_ROOM,
        "sample room of 10 x 12 ft",
        area,
        {"code": "wall_net+ceiling", **TEN_BY_TWELVE},
        "439",
    ),
    Check(
        "walls of 10 x 15 ft, 8 ft high, take a gallon at 400 sq ft",
        HOW_STUFF_WORKS,
        "one coat",
        gallons,
        {"coverage": "400", "coats": "1", "length": "10", "width": "15", "height": "8"},
        "1",
    ),
    Check(
        "two coats take two gallons",
        HOW_STUFF_WORKS,
        "two coats",
        gallons,
        {"coverage": "400", "coats": "2", "length": "10", "width": "15", "height": "8"},
        "2",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
