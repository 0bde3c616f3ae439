"""What can't be in one day of one person's hours."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from catalog.measures.hours import Span, TimeWorked

HOURS_OF_A_DAY = 24


@dataclass(frozen=True)
class DayEntry:
    """Hours that are kept of a day already; `label` says what they went to."""

    label: str
    hours: Decimal
    spans: tuple[Span, ...]


def day_fault(worked: TimeWorked, others: Iterable[DayEntry], day: str) -> str:
    """Return why hours can't be on a day beside the others; empty where they can."""
    kept = list(others)
    for other in kept:
        for theirs in other.spans:
            for mine in worked.spans:
                if mine.overlaps(theirs):
                    return (
                        f"{mine.in_words()} overlaps {theirs.in_words()}, which is on {other.label} already. "
                        "Nobody is at two places: correct one of them."
                    )
    total = worked.hours + sum((other.hours for other in kept), Decimal(0))
    if total > HOURS_OF_A_DAY:
        before = total - worked.hours
        so_far = f": {before.normalize():f} are kept of it already" if before else ""
        return f"That makes {total.normalize():f} hours on {day}{so_far}. A day has 24."
    return ""
