"""Shipped hours beside hours that carpenters, installers and a column for homeowners tell."""

from collections.abc import Callable
from fractions import Fraction

from catalog.measures.rates import parse_rate
from catalog.starter.published_hours import published_hours
from tests.published import Check, Source, every_check
from tests.published.shipped import shipped

AGAINST = "a builders' magazine and forums, installers' own pages, a syndicated column"
QUARTER = "a quarter: two people's hours for the same work"


def takes_hours(labor: str, amount: str, set_ups: str = "no") -> Fraction:
    """Return the likely hours of shipped labor on an amount; "labor x 2" is done twice."""
    total = Fraction(0)
    for part in labor.split(", "):
        code, _, times = part.partition(" x ")
        entry = shipped("operations")[code]
        total += (
            parse_rate(entry["hours"], "hour", entry["unit"]).per_unit
            * Fraction(amount)
            * Fraction(times or 1)
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
    beside(
        "hang-board",
        ("hang-board", 0),
        "1000",
        "33",
        basis="derived",
    ),
    beside(
        "roll-primer",
        ("roll-primer", 0),
        "150",
        "1",
        basis="derived",
    ),
    beside(
        "roll-primer",
        ("roll-primer", 1),
        "1008",
        "3.5",
        basis="derived",
        ours="6.72",
        differs="A page without an author: nothing rests on it. Likely: beside the printed figure, "
        "which has cutting in with it; ours is counted apart. Best and worst are a guess. "
        "Brush rates of 1916 aren't used for a roller.",
    ),
    beside(
        "roll-primer",
        ("roll-primer", 2),
        "768",
        "5",
        basis="derived",
    ),
    beside(
        "roll-primer",
        ("roll-primer", 3),
        "320",
        "1.5",
        basis="derived",
        ours="2.13",
        differs="He calls his rates hypothetical.",
    ),
    beside(
        "roll-first-coat",
        ("roll-first-coat", 0),
        "150",
        "1",
        basis="derived",
    ),
    beside(
        "roll-first-coat",
        ("roll-first-coat", 1),
        "1008",
        "3.5",
        basis="derived",
        ours="6.72",
        differs="A page without an author: nothing rests on it. Likely: beside the printed figure, "
        "which has cutting in with it; ours is counted apart. Best and worst are a guess. "
        "Brush rates of 1916 aren't used for a roller.",
    ),
    beside(
        "roll-first-coat",
        ("roll-first-coat", 2),
        "768",
        "5",
        basis="derived",
    ),
    beside(
        "roll-first-coat",
        ("roll-first-coat", 3),
        "320",
        "1.5",
        basis="derived",
        ours="2.13",
        differs="He calls his rates hypothetical.",
    ),
    beside(
        "roll-second-coat",
        ("roll-second-coat", 0),
        "90",
        "1",
        basis="derived",
        ours="0.6",
        differs="Oil paint laid on with a brush, openings not deducted: it says nothing of a roller.",
    ),
    beside(
        "roll-second-coat",
        ("roll-second-coat", 1),
        "1008",
        "3.5",
        basis="derived",
        ours="6.72",
        differs="A page without an author: nothing rests on it. Likely: beside the printed figure, "
        "which has cutting in with it; ours is counted apart. Best and worst are a guess. "
        "Brush rates of 1916 aren't used for a roller.",
    ),
    beside(
        "roll-second-coat",
        ("roll-second-coat", 2),
        "768",
        "5",
        basis="derived",
    ),
    beside(
        "roll-second-coat",
        ("roll-second-coat", 3),
        "320",
        "1.5",
        basis="derived",
        ours="2.13",
        differs="He calls his rates hypothetical.",
    ),
    beside(
        "paint-trim-first",
        ("paint-trim-first", 0),
        "150",
        "1",
        basis="derived",
    ),
    beside(
        "paint-trim-second",
        ("paint-trim-second", 0),
        "90",
        "1",
        basis="derived",
    ),
    beside(
        "paint-trim-second",
        ("paint-trim-second", 1),
        "17",
        "0.25",
        basis="derived",
    ),
    beside(
        "cut-in-by-brush",
        ("cut-in-by-brush", 0),
        "44",
        "0.5",
        basis="derived",
        ours="0.22",
        differs='Said with doubt ("I don\'t really know").',
    ),
    beside(
        "paint-door-coat",
        ("paint-door-coat", 0),
        "1",
        "1",
        ours="0.7",
        differs="Between a painter's flush door, 0.5 hours for both sides, and his six-panel door, 1 "
        "hour; likely is a guess between them.",
    ),
    beside(
        "paint-door-coat",
        ("paint-door-coat", 1),
        "1",
        "0.5",
        ours="0.7",
        differs="Between a painter's flush door, 0.5 hours for both sides, and his six-panel door, 1 "
        "hour; likely is a guess between them.",
    ),
    beside(
        "paint-door-coat",
        ("paint-door-coat", 2),
        "1",
        "1.0833",
        ours="0.7",
        differs="It doesn't say how many coats.",
    ),
    beside(
        "clean-sand-cabinets, coat-cabinets x 2",
        ("clean-sand-cabinets", 0),
        "100",
        "17.1",
        basis="derived",
    ),
    beside(
        "strip-paper",
        ("strip-paper", 0),
        "352",
        "10.7",
        basis="derived",
    ),
    beside(
        "lay-click",
        ("lay-click", 0),
        "180",
        "5.8",
        basis="derived",
    ),
    beside(
        "lay-click",
        ("lay-click", 1),
        "1000",
        "8",
        basis="derived",
        ours="35",
        differs="A page without an author: nothing rests on it. Beside the printed figure, a tenth "
        "over it: a kitchen has more cuts than an open room.",
    ),
    beside(
        "swap-fixture",
        ("swap-fixture", 0),
        "1",
        "0.9",
    ),
    beside(
        "swap-fixture",
        ("swap-fixture", 1),
        "1",
        "1.5",
        ours="0.8",
        differs="Beside the printed figure, a little under it; the set-up comes on top.",
    ),
    beside(
        "set-backsplash, wash-grout, fill-joint x 5.8",
        ("set-backsplash", 0),
        "20",
        "4.6",
        basis="derived",
    ),
    beside(
        "patch-board, patch-first-coat, patch-second-coat",
        ("patch-board", 0),
        "1",
        "2.2",
        set_ups="yes",
    ),
    beside(
        "frame-trim-door",
        ("frame-trim-door", 0),
        "1",
        "3",
    ),
    beside(
        "frame-trim-door",
        ("frame-trim-door", 1),
        "1",
        "2.5",
    ),
    beside(
        "hang-fit-door",
        ("hang-fit-door", 0),
        "1",
        "5",
    ),
    beside(
        "hang-fit-door",
        ("hang-fit-door", 1),
        "1",
        "3.75",
    ),
    beside(
        "hang-fit-door",
        ("hang-fit-door", 2),
        "7",
        "8",
        basis="derived",
        ours="26.25",
        differs="New tract houses, nothing to carry or protect.",
    ),
    beside(
        "set-prehung",
        ("set-prehung", 0),
        "1",
        "0.5",
        ours="1.5",
        differs="Best: as printed for a framed opening. Worst: a door that isn't prehung. Likely is a "
        "guess between them, for an old opening out of plumb, and the lock.",
    ),
    beside(
        "set-prehung",
        ("set-prehung", 1),
        "21",
        "8",
        basis="derived",
        ours="31.5",
        differs="New tract houses, nothing to carry or protect.",
    ),
    beside(
        "cut-nail-casing",
        ("cut-nail-casing", 0),
        "34",
        "0.3333",
        basis="derived",
        ours="1.7",
        differs="Best: as printed, with a nailer on a new wall. Likely and worst are a guess, for old "
        "walls that aren't flat.",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 0),
        "15",
        "8",
        basis="derived",
        ours="15",
        differs="Crown, kick and pulls left out.",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 1),
        "1",
        "1",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 2),
        "9",
        "8",
        basis="derived",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 3),
        "1",
        "1.25",
    ),
    beside(
        "set-cabinet",
        ("set-cabinet", 4),
        "20.5",
        "20",
        basis="derived",
    ),
    beside(
        "take-out-cabinet",
        ("take-out-cabinet", 0),
        "15",
        "4",
        basis="derived",
        ours="5.25",
        differs="Beside the printed figure, a third over it.",
    ),
    beside(
        "break-out-tile",
        ("break-out-tile", 0),
        "22.5",
        "1",
        basis="derived",
    ),
    beside(
        "set-tile",
        ("set-tile", 0),
        "144",
        "8",
        basis="derived",
        ours="18.72",
        differs="A page without an author: nothing rests on it. A guess, likely long beside an open "
        "floor; lay-out and saw are counted apart.",
    ),
    beside(
        "set-faucet",
        ("set-faucet", 0),
        "1",
        "0.75",
        ours="1.5",
        differs="A page without an author: nothing rests on it. A guess, inside what a page without "
        "an author says.",
    ),
    beside(
        "reset-toilet",
        ("reset-toilet", 0),
        "1",
        "1.5",
    ),
    beside(
        "caulk-wet-joint",
        ("caulk-wet-joint", 0),
        "100",
        "0.5",
        basis="derived",
        ours="1",
        differs="A dry joint at a door; a wet one is tooled and masked.",
    ),
    beside(
        "sand-door",
        ("sand-door", 0),
        "1",
        "0.25",
        ours="0.4",
        differs="Best: as printed. Likely and worst are a guess, for an old door.",
    ),
    beside(
        "mask-for-paint",
        ("mask-for-paint", 0),
        "48",
        "0.5",
        basis="derived",
    ),
    beside(
        "fill-caulk-trim",
        ("fill-caulk-trim", 0),
        "100",
        "0.5",
        basis="derived",
        ours="2",
        differs="Filling and sanding of holes is in ours.",
    ),
    beside(
        "set-base-cabinet",
        ("set-base-cabinet", 0),
        "15",
        "8",
        basis="derived",
        ours="15",
        differs="Crown, kick and pulls left out.",
    ),
    beside(
        "set-base-cabinet",
        ("set-base-cabinet", 1),
        "1",
        "1",
    ),
    beside(
        "set-wall-cabinet",
        ("set-wall-cabinet", 0),
        "15",
        "8",
        basis="derived",
        ours="18",
        differs="Crown, kick and pulls left out.",
    ),
    beside(
        "set-wall-cabinet",
        ("set-wall-cabinet", 1),
        "1",
        "1",
    ),
    beside(
        "set-tall-cabinet",
        ("set-tall-cabinet", 0),
        "1",
        "1",
        ours="2",
        differs="Best: an hour a box. Likely and worst are a guess.",
    ),
    beside(
        "sand-floor, coat-floor x 3",
        ("sand-floor", 0),
        "300",
        "9.6",
        basis="derived",
        ours="12.3",
        differs="Sanded and coated three times, the sum of our steps is beside the printed figure, a "
        "fourth over it for one man alone.",
    ),
    beside(
        "hang-paper",
        ("hang-paper", 0),
        "432",
        "5.2",
        basis="derived",
        ours="10.37",
        differs="Best: as printed for an open room. Likely and worst are a guess, for corners, "
        "openings and a pattern.",
    ),
    beside(
        "set-window",
        ("set-window", 0),
        "1",
        "4",
    ),
    beside(
        "set-window",
        ("set-window", 1),
        "1",
        "3",
        ours="4",
        differs="Likely: as printed for a new opening. Taking the old one out isn't in it; best and "
        "worst are a guess.",
    ),
    beside(
        "set-exterior-door",
        ("set-exterior-door", 0),
        "1",
        "8",
    ),
    beside(
        "hang-mirror",
        ("hang-mirror", 0),
        "1",
        "4.3",
        ours="0.6",
        differs="Taking out and cutting in are not in ours, which hangs one on the wall.",
    ),
    beside(
        "set-tile-12",
        ("set-tile-12", 0),
        "110",
        "8",
        basis="derived",
        ours="12.65",
        differs="A page without an author: nothing rests on it. A guess, likely long beside a page "
        "without an author.",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
