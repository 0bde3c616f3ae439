"""Tile with its waste, and grout by weight."""

from fractions import Fraction

from catalog.assemblies.formulas import rate_from
from catalog.measures.lengths import parse_length
from estimating.boards.tile import TilePattern, TilePreferences, TileRules
from estimating.boards.tile_patterns import preferred_layout
from estimating.rooms.plan import RoomPlan, rectangle
from estimating.sheet_layout.surface import Surface
from tests.published import Check, Source, every_check
from tests.published.calculations import needs, packages, take_off_assembly
from tests.published.sources import ASK_THE_EXPERTS
from tests.specs import assembly, material, operation, uses

AGAINST = "the tile contractors' association, a university standard, a grout chart"
GROUT_CHARTS = Source(
    "Grout Per Square Foot (a supplier's charts)",
    "February 2010",
    "http://site.thebuilderdepot.com/blog/2010/02/",
)
SPECIFICATION = Source(
    "Washington State University design standard 09 30 00, Tiling (repository JSWSU/wsu-energy-dashboard)",
    "as stored",
    "https://github.com/JSWSU/wsu-energy-dashboard",
)
HOW_MANY = Source(
    "How many 12x12 tiles do I need for 30 square feet",
    "as stored",
    "https://engineerfix.com/how-many-12x12-tiles-do-i-need-for-30-square-feet",
)
REFERENCE = Source(
    "Calculate the number of floor tiles you need",
    "as stored",
    "https://www.reference.com/home-garden/calculate-number-floor-tiles-need-e1e8e57083d56e38",
)
CIVIL = Source(
    "How to calculate number of tiles required for flooring and wall site",
    "as stored",
    "https://civilsir.com/how-to-calculate-number-of-tiles-required-for-flooring-and-wall-site/",
)


def tile_of_floor(rooms: str, waste: str, per_tile: str = "1 sq ft per sq ft") -> Fraction:
    """Tile for floors "length x width" in feet, in square feet or, by another rate, in tiles."""
    return _floor(rooms, waste, per_tile)[0]


def labor_area_of_floor(rooms: str, waste: str) -> Fraction:
    """Square feet that the setting of the same tile is paid for: an hour for each."""
    return _floor(rooms, waste, "1 sq ft per sq ft")[1]


def bought_besides_its_area(rooms: str, tile: str, pattern: TilePattern) -> Fraction:
    """How much more tile is bought than its floor takes by area, in percent, with 5 % for breakage."""
    length, width = (parse_length(f"{side}'") for side in rooms.split(" x "))
    long, short = (parse_length(f'{side}"') for side in tile.split(" x "))
    floor = Surface(((0, 0), (length, 0), (length, width), (0, width)))
    rules = TileRules(pattern=pattern, reuse_offcuts=True, spare=Fraction(5, 100))
    layout = preferred_layout(floor, (long, short), TilePreferences(rules=rules))
    return (Fraction(layout.to_buy * long * short, length * width) - 1) * 100


def _floor(rooms: str, waste: str, per_tile: str) -> tuple[Fraction, Fraction]:
    plans = {}
    for place, size in enumerate(rooms.split(", ")):
        length, width = (parse_length(side) for side in size.split(" x "))
        plans[str(place)] = RoomPlan("Room", rectangle(length, width), parse_length("8"))
    unit = "each" if "each" in per_tile else "sq ft"
    tile = uses(material("tile", unit, ("1", "1.00")), per_tile, "floor", waste=Fraction(waste) / 100)
    set_tile = uses(operation("set tile", "1 hour per sq ft", "sq ft"), measure="floor")
    result = take_off_assembly(assembly("tile", "floor", tile, set_tile), plans)
    return result.materials[0].required, result.items[0].hours


def grout_lb(tile: str, joint: str, depth: str, area_sqft: str = "1", waste: str = "10") -> Fraction:
    """Pounds of grout for an area of square tiles."""
    return needs(area_sqft, _grout_rate(tile, joint, depth), "lb", waste=waste)


def grout_bags(tile: str, joint: str, depth: str, area_sqft: str, bag_lb: str, waste: str = "10") -> int:
    return packages(area_sqft, _grout_rate(tile, joint, depth), "lb", bag_lb, waste=waste)


def _grout_rate(tile: str, joint: str, depth: str) -> str:
    inputs = {"tile_length": tile, "tile_width": tile, "joint": joint, "depth": depth}
    ten_thousandths = round(rate_from("grout", inputs).per_unit * 10_000)
    return f"{ten_thousandths} lb per 10000 sq ft"


MOSAIC = {"tile": "3/8", "joint": "1/16", "depth": "3/8"}
CHART = "example: 3/8 x 3/8 x 3/8 in tile, joint of 1/16 in, full depth, 10 % waste"

CHECKS = (
    Check(
        "a floor of 25 x 40 ft is set for 1,000 sq ft of labor",
        ASK_THE_EXPERTS,
        "labor on installed area",
        labor_area_of_floor,
        {"rooms": "25 x 40", "waste": "10"},
        "1000",
    ),
    Check(
        "the same floor takes 1,100 sq ft of tile with 10 % waste",
        ASK_THE_EXPERTS,
        "material on area and waste",
        tile_of_floor,
        {"rooms": "25 x 40", "waste": "10"},
        "1100",
    ),
    Check(
        "attic stock of 5 % for 1,000 sq ft: 50 sq ft more",
        SPECIFICATION,
        "extra material of 5 % of the installed area",
        tile_of_floor,
        {"rooms": "25 x 40", "waste": "5"},
        "1050",
        basis="derived",
    ),
    Check(
        "30 sq ft in 12 x 12 in tiles: 30",
        HOW_MANY,
        "base tile count",
        tile_of_floor,
        {"rooms": "5 x 6", "waste": "0", "per_tile": "1 each per sq ft"},
        "30",
    ),
    Check(
        "30 sq ft in 12 x 12 in tiles with the least waste of 10 %: 33",
        HOW_MANY,
        "a minimum waste allowance of 10 %",
        tile_of_floor,
        {"rooms": "5 x 6", "waste": "10", "per_tile": "1 each per sq ft"},
        "33",
        basis="derived",
    ),
    Check(
        "200 sq ft in 6 in tiles, a quarter of a square foot each: 800",
        REFERENCE,
        "divide by 0.25",
        tile_of_floor,
        {"rooms": "20 x 10", "waste": "0", "per_tile": "1 each per 0.25 sq ft"},
        "800",
        basis="derived",
    ),
    Check(
        "a room of 10 x 10 ft with 10 %: 110 sq ft of tile",
        REFERENCE,
        "100 sq ft of tile and 10 % for waste and cuts",
        tile_of_floor,
        {"rooms": "10 x 10", "waste": "10"},
        "110",
        basis="derived",
    ),
    Check(
        "four rooms in 24 x 24 in tiles with 5 %: 252",
        CIVIL,
        "rooms A1 to A4 of 288, 192, 192 and 288 sq ft; wastage 5 %",
        tile_of_floor,
        {"rooms": "18 x 16, 16 x 12, 16 x 12, 18 x 16", "waste": "5", "per_tile": "1 each per 4 sq ft"},
        "252",
        basis="derived",
    ),
    Check(
        "12 in tile at 45 degrees on 16 x 13 ft: between 5 and 15 % more than its area",
        ASK_THE_EXPERTS,
        "5 to 15 %, more at 45 degrees or in herringbone than straight; 5 % is left as attic stock",
        bought_besides_its_area,
        {"rooms": "16 x 13", "tile": "12 x 12", "pattern": "diagonal"},
        "10",
        within="5",
        why="a range is printed: its middle, and as far as its ends",
    ),
    Check(
        "12 x 24 in tile in herringbone at 45 degrees on 20 x 18 ft: between 5 and 15 % more",
        ASK_THE_EXPERTS,
        "5 to 15 %, more at 45 degrees or in herringbone than straight; 5 % is left as attic stock",
        bought_besides_its_area,
        {"rooms": "20 x 18", "tile": "24 x 12", "pattern": "herringbone-45"},
        "10",
        within="5",
        why="a range is printed: its middle, and as far as its ends",
    ),
    Check(
        "a square foot of 3/8 in mosaic takes 0.94 lb of grout",
        GROUT_CHARTS,
        CHART,
        grout_lb,
        MOSAIC,
        "0.94",
        within="0.05",
        why="a twentieth: the chart doesn't state its density, ours is 99.9 lb a cu ft (from memory)",
    ),
    Check(
        "96 sq ft of 3/8 in mosaic takes 90 lb of grout",
        GROUT_CHARTS,
        CHART,
        grout_lb,
        {**MOSAIC, "area_sqft": "96"},
        "90",
        within="4.5",
        why="a twentieth, as for one square foot",
    ),
    Check(
        "96 sq ft of 3/8 in mosaic takes four bags of 25 lb",
        GROUT_CHARTS,
        CHART,
        grout_bags,
        {**MOSAIC, "area_sqft": "96", "bag_lb": "25"},
        "4",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
