"""The best, likely and worst hours of a work item, from its labor in the catalog.

The hours of one work item go well or badly together: its labor is added up at best, as likely and at worst,
which makes one piece of work of it. Set-up hours don't vary. Labor without best and worst hours, and hours
typed by hand, get those that the shipped labor has at the median: 0.67 and 1.67 times the likely ones.
"""

from fractions import Fraction

from catalog.assemblies.specs import OperationSpec
from estimating.ranges.spread import Spread
from estimating.takeoff.work import ItemQuantities

USUAL_BEST, USUAL_WORST = Fraction(67, 100), Fraction(167, 100)


def spread_of(item: ItemQuantities) -> Spread:
    """Return the spread of a work item's hours; what is likely is what it is priced at."""
    best = item.work.extra_hours * USUAL_BEST
    worst = item.work.extra_hours * USUAL_WORST
    for requirement in item.requirements:
        if isinstance(requirement.use, OperationSpec):
            at_best, at_worst = factors(requirement.use)
            driven = requirement.quantity - requirement.calculation.set_up
            best += driven * at_best + requirement.calculation.set_up
            worst += driven * at_worst + requirement.calculation.set_up
    return Spread(float(best), float(item.hours), float(worst))


def has_usual_spread(item: ItemQuantities) -> bool:
    """Tell whether some of a work item's hours have the usual spread, as nothing better is known."""
    operations = [requirement.use for requirement in item.requirements if requirement.quantity]
    return bool(item.work.extra_hours) or any(
        isinstance(use, OperationSpec) and (use.low is None or use.high is None) for use in operations
    )


def factors(operation: OperationSpec) -> tuple[Fraction, Fraction]:
    """Return the best and the worst hours of an operation as multiples of the likely ones."""
    likely = operation.rate.per_unit
    return (
        USUAL_BEST if operation.low is None or not likely else operation.low / likely,
        USUAL_WORST if operation.high is None or not likely else operation.high / likely,
    )
