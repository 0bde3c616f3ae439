"""The firm's Money page: how all clients stand, and what makes up each figure."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from invoicing.ledger.accounts import read_books
from invoicing.payments.expected import amount_without_day, expected_money
from invoicing.payments.refunds import refunds_due
from invoicing.payments.summary import AGES, SUMS, debtors, read_figures
from invoicing.receivables.weekly_forecast import ExpectedMoney, weekly_forecast


@require_GET
def firm_money(request: HttpRequest) -> HttpResponse:
    """Show what is billed, paid, held, open, overdue by age and in credit, who owes, and what is to come."""
    books, today = read_books(), timezone.localdate()
    figures, expected = read_figures(books, today), expected_money(books)
    coming = [ExpectedMoney(item.on, item.amount, item.is_billed) for item in expected if item.on]
    context = {
        "place": "firm-money",
        "refunds": refunds_due(books=books),
        "sums": [figures[name] for name in SUMS],
        "by_age": [figures[name] for name, _, _ in AGES],
        "debtors": debtors(books, today),
        "weeks": weekly_forecast(coming, today),
        "to_come": [item for item in expected if item.on],
        "undated": [item for item in expected if not item.on],
        "undated_sum": amount_without_day(expected),
    }
    return render(request, "invoicing/payments/firm_money.html", context)


@require_GET
def firm_figure(request: HttpRequest, name: str) -> HttpResponse:
    """Show one figure with the rows that it is the sum of."""
    figure = read_figures(read_books(), timezone.localdate()).get(name)
    if figure is None:
        raise Http404
    return render(request, "invoicing/payments/firm_figure.html", {"place": "firm-money", "figure": figure})
