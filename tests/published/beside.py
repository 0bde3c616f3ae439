"""Rows that stand shipped hours beside a figure in the file of published hours."""

from collections.abc import Callable
from fractions import Fraction

from catalog.measures.rates import parse_rate
from catalog.starter.published_hours import published_hours
from tests.published import Check, Source
from tests.published.shipped import shipped

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
