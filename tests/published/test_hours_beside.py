"""Shipped hours beside hours that carpenters, installers and a column for homeowners tell."""

from collections.abc import Callable
from fractions import Fraction

from catalog.measures.rates import parse_rate
from catalog.starter.published_hours import published_hours
from tests.published import Check, Source, every_check
from tests.published.test_shipped_rates import _shipped

AGAINST = "a builders' magazine and forums, installers' own pages, a syndicated column"
QUARTER = "a quarter: two people's hours for the same work"
NEW_HOUSES = "new tract houses, one door after the other, nothing to carry or protect"


def takes_hours(labor: str, amount: str, set_ups: str = "no") -> Fraction:
    """Return the likely hours of shipped labor on an amount; "labor x 2" is done twice."""
    total = Fraction(0)
    for part in labor.split(", "):
        code, _, times = part.partition(" x ")
        entry = _shipped("operations")[code]
        total += (
            parse_rate(entry["hours"], "hour", entry["unit"]).per_unit * Fraction(amount) * int(times or 1)
        )
        if set_ups == "yes":
            total += Fraction(entry.get("set_up_hours", "0"))
    return total


def beside(
    labor: str,
    figure_of: tuple[str, int],
    amount: str,
    hours: str,
    *,
    set_ups: str = "no",
    basis: str = "printed",
    ours: str = "",
    differs: str = "",
) -> Check:
    """Make a row of a figure in the file of published hours: its hours on the amount that it tells of."""
    code, number = figure_of
    figure = published_hours()[code].figures[number]
    source = Source(figure.source.title, "as stored", figure.source.address)
    run: Callable[..., Fraction] = takes_hours
    return Check(
        f"shipped: {labor}, beside: {figure.printed}",
        source,
        figure.place,
        run,
        {"labor": labor, "amount": amount, "set_ups": set_ups},
        hours,
        within=str(float(Fraction(hours) / 4)),
        why=QUARTER,
        basis=basis,
        ours=ours,
        differs=differs,
    )


CHECKS = (
    beside("strip-paper", ("strip-paper", 0), "352", "10.7", basis="derived"),
    beside("lay-click", ("lay-click", 0), "180", "5.8", basis="derived"),
    beside("swap-fixture", ("swap-fixture", 0), "1", "0.9"),
    beside("clean-sand-cabinets, coat-cabinets x 2", ("clean-sand-cabinets", 0), "100", "17.1"),
    beside("patch-board, patch-first-coat, patch-second-coat", ("patch-board", 0), "1", "2.2", set_ups="yes"),
    beside("frame-trim-door", ("frame-trim-door", 1), "1", "2.5"),
    beside("set-cabinet", ("set-cabinet", 3), "1", "1.25"),
    beside(
        "take-out-cabinet",
        ("take-out-cabinet", 0),
        "15",
        "4",
        ours="5.25",
        differs="His four hours have the counters in them, too. Ours is a guess for one man in a house that "
        "is lived in, and its best hours come to 3.75.",
    ),
    beside(
        "hang-fit-door",
        ("hang-fit-door", 2),
        "7",
        "8",
        ours="26.25",
        differs=f"A day of eight hours taken. {NEW_HOUSES.capitalize()}.",
        basis="derived",
    ),
    beside(
        "set-prehung",
        ("set-prehung", 0),
        "1",
        "0.5",
        ours="1.5",
        differs="His half hour is our best: a framed opening. An old one, out of plumb, and a lock to set "
        "take more; how much more is a guess.",
    ),
    beside(
        "set-prehung",
        ("set-prehung", 1),
        "21",
        "8",
        ours="31.5",
        differs=f"A day of eight hours taken. {NEW_HOUSES.capitalize()}.",
        basis="derived",
    ),
    beside(
        "cut-nail-casing",
        ("cut-nail-casing", 0),
        "34",
        "0.3333",
        ours="4.42",
        differs="A guess, and much too long for a nailer and a miter saw at the door, even with a set-up and "
        "old walls that aren't flat.",
        basis="derived",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 0),
        "15",
        "8",
        ours="23.25",
        differs="A day of eight hours taken; boxes only, by a man who sets them all the time.",
        basis="derived",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 1),
        "1",
        "1",
        ours="1.55",
        differs="He counts fillers, kick and crown as boxes of their own; ours counts fillers apart, "
        "too, and stays a guess that is half too high beside his.",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 2),
        "9",
        "8",
        ours="13.95",
        differs="A day of eight hours taken, bead board and base of an island in it: a guess that is high.",
        basis="derived",
    ),
    beside(
        "set-backsplash, grout-wall",
        ("set-backsplash", 0),
        "20",
        "4.6",
        ours="7.40",
        differs="A guess, and likely too long: the column's wall has no boxes to cut around and no counter "
        "to keep clean.",
    ),
    beside(
        "break-out-tile",
        ("break-out-tile", 0),
        "22.5",
        "1",
        ours="1.575",
        differs="His is for thinset on concrete with hauling apart; ours also serves a mortar bed, which one "
        "rate can't.",
        basis="derived",
    ),
    beside(
        "set-tile",
        ("set-tile", 0),
        "144",
        "8",
        ours="21.6",
        differs="An open floor on a page without an author; ours is for 12 x 24 in tile between cabinets.",
        basis="derived",
    ),
    beside(
        "set-faucet",
        ("set-faucet", 0),
        "1",
        "0.75",
        ours="1.20",
        differs="The page, without an author, assumes free access and valves that close; an old faucet has "
        "to come off first, lying on the back.",
        basis="derived",
    ),
    beside(
        "pull-toilet, reset-toilet",
        ("reset-toilet", 0),
        "1",
        "1.5",
        ours="2.0",
        differs="The upper end of what the page says; ours has the flange cleaned and the floor shimmed.",
    ),
    beside(
        "roll-first-coat, roll-second-coat",
        ("roll-first-coat", 1),
        "504",
        "3.5",
        ours="8.96",
        differs="Ours are brush rates of 1916 and have cutting in beside them. The page has no author, so no "
        "rate was made of it; it says which way ours are wrong.",
    ),
    beside(
        "cut-in-by-brush",
        ("cut-in-by-brush", 0),
        "44",
        "0.5",
        ours="0.22",
        differs="He says himself that he doesn't know; ours is a guess.",
        basis="derived",
    ),
    beside(
        "paint-door-coat",
        ("paint-door-coat", 0),
        "1",
        "1.0833",
        ours="0.70",
        differs="He doesn't say whether it is one coat; two of ours are 1.40.",
        basis="derived",
    ),
    beside(
        "lay-click",
        ("lay-click", 1),
        "1000",
        "8",
        ours="35",
        differs="More than one layer on open floors; ours is one person in a kitchen.",
        basis="derived",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
