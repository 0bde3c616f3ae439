"""The demo kitchen beside one timetable that remodelers agreed on, phase by phase."""

from fractions import Fraction

from catalog.measures.rates import parse_rate
from tests.published import Check, Source, every_check
from tests.published.shipped import shipped

AGAINST = "a timetable of members of the remodelers' association (NARI)"
NARI = Source(
    "How Long Will It Take?, the timetable of a group of NARI members",
    "as stored; another page has the same",
    "http://walteramiller.com/how-long-will-it-take/",
)
DAYS = "printed as a range of days, taken as 8 hours: its middle, and half its width"


def on_amounts(labor: str) -> Fraction:
    """Return the likely hours of shipped labor, set-ups included: "hang-board 192, tape-coat 192"."""
    total = Fraction(0)
    for part in labor.split(", "):
        code, amount = part.split()
        entry = shipped("operations")[code]
        per_unit = parse_rate(entry["hours"], "hour", entry["unit"]).per_unit
        total += per_unit * Fraction(amount) + Fraction(entry.get("set_up_hours", "0"))
    return total


def days(words: str, labor: str, low: int, high: int, ours: str = "", differs: str = "") -> Check:
    middle = Fraction(low + high, 2) * 8
    return Check(
        f"the kitchen: {words}, {low} to {high} days",
        NARI,
        "list of phases",
        on_amounts,
        {"labor": labor},
        str(float(middle)),
        within=str((high - low) * 4),
        why=DAYS,
        basis="derived",
        ours=ours,
        differs=differs,
    )


# The demo kitchen: 142.22 sq ft of floor, 192 sq ft of new board, 18 cabinets; amounts as in its work list.
CHECKS = (
    days(
        "tear out fixtures, walls and floors",
        "take-out-cabinet 16, strip-drywall 192, strip-floor 142.22, strip-trim 67, load-dumpster 1",
        1,
        2,
        ours="20.36",
        differs="One man alone, who saves the other walls, pulls every fastener and carries it all out; "
        "the timetable has a crew.",
    ),
    days(
        "new plasterboard, hung and taped",
        "hang-board 192, tape-coat 192, fill-coat 192, finish-coat 192",
        3,
        4,
        ours="17.46",
        differs="Two walls of four, 192 sq ft; the timetable's days have the drying in them.",
    ),
    days(
        "a new floor",
        "lay-backer 142.22, cut-backer 6, tape-backer 60, lay-out-tile 1, set-tile 142.22,"
        " wash-grout 142.22, fill-joint 210.5, caulk-perimeter 48, seal-joints 142.22",
        1,
        2,
        ours="35.17",
        differs="Tile on cement board, alone; the timetable doesn't name its floor, and planks or a sheet "
        "fit it.",
    ),
    days(
        "new cabinets",
        "receive-cabinet 18, lay-out-cabinets 1, set-cabinet 18, fit-fillers 24, set-pull 30",
        2,
        6,
    ),
    days(
        "fixtures and appliances",
        "set-dishwasher 1, set-range 1, hang-hood 1, run-duct 8, set-wall-cap 1, set-refrigerator 1",
        1,
        2,
        ours="7.87",
        differs="A dishwasher, a range, a hood and a refrigerator that stand at hand; other fixtures are "
        "lines of their own.",
    ),
    # 710 ft of cutting in before six coats
    days(
        "lighting, wall coverings, painting",
        "mask-for-paint 48, cut-in-by-brush 710, roll-primer 175.33, roll-primer 175.33,"
        " roll-first-coat 327.33, roll-second-coat 327.33, roll-first-coat 142.22,"
        " roll-second-coat 142.22, swap-light-trim 6",
        2,
        3,
    ),
    # All labor of the demo kitchen: 168 hours.
    days("the whole of it", "hour-of-repair 168", 14, 25),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
