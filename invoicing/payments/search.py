"""Payments in the one search."""

from typing import Any

from django.db.models import Q, QuerySet

from estimating.plain_text import day_in_words
from estimating.search.kinds import Hit, SearchKind
from invoicing.models import Payment


def payments_with(words: list[str]) -> QuerySet[Payment]:
    """Return the payments with each word as their check number, note, amount, year or client."""
    rows = Payment.objects.select_related("client")
    for word in words:
        has = Q(reference__icontains=word) | Q(note__icontains=word) | Q(client__name__icontains=word)
        amount = word.removeprefix("$").replace(",", "")
        if amount.replace(".", "", 1).isdecimal() and amount.isascii() and len(amount) < 12:
            has |= Q(amount=amount)
        if len(word) == 4 and word.startswith("20") and word.isdecimal():
            has |= Q(on__year=int(word))
        rows = rows.filter(has)
    return rows.order_by("-on", "-pk")


def payment_hit(row: Any) -> Hit:
    """Return a payment as a hit."""
    note = f"{row.method_in_words()}, {row.client.name}, {day_in_words(row.on)}"
    return Hit(f"{row.get_kind_display()} of {row.amount_in_words()}", note, row.get_absolute_url())


PAYMENTS = SearchKind("payments", "Payments", payments_with, payment_hit)
