"""What an entry said before: kept whenever hours, a receipt or miles are corrected or removed."""

from datetime import datetime

from catalog.measures.hours import spans_from_text
from catalog.money.amounts import format_price
from estimating.plain_text import day_in_words
from jobsite.models import Correction, HoursWorked, Mileage, ReceiptKept

Entry = HoursWorked | ReceiptKept | Mileage

_KINDS: dict[type[Entry], Correction.Kind] = {
    HoursWorked: Correction.Kind.HOURS,
    ReceiptKept: Correction.Kind.RECEIPT,
    Mileage: Correction.Kind.MILEAGE,
}


def said(entry: Entry, on_what: str = "") -> str:
    """Return what an entry says, in one line."""
    return ", ".join(part for part in (_in_words(entry), on_what) if part)


def keep_corrected(entry: Entry, was: str, now: datetime) -> None:
    """Keep what an entry said before it was corrected."""
    Correction.objects.create(job=entry.job, kind=_KINDS[type(entry)], row=entry.pk, was=was, at=now)


def keep_removed(entry: Entry, now: datetime, on_what: str = "") -> None:
    """Keep what an entry said that is about to be removed."""
    Correction.objects.create(
        job=entry.job, kind=_KINDS[type(entry)], row=entry.pk, was=said(entry, on_what), removed=True, at=now
    )


def corrections_of(entry: Entry) -> list[Correction]:
    """Return what an entry said before, the last first. Costs a query."""
    return list(Correction.objects.filter(kind=_KINDS[type(entry)], row=entry.pk))


def _in_words(entry: Entry) -> str:
    parts = [day_in_words(entry.on)]
    if isinstance(entry, HoursWorked):
        times = " and ".join(span.in_words() for span in spans_from_text(entry.spans))
        parts += [str(entry), times]
    elif isinstance(entry, ReceiptKept):
        tax = f" and {format_price(entry.tax.amount)} tax" if entry.tax.amount else ""
        parts += [f"{format_price(entry.cost.amount)}{tax}", entry.supplier]
    else:
        parts += [f"{entry} at ${entry.rate.normalize():f}"]
    return ", ".join(part for part in (*parts, entry.says) if part)
