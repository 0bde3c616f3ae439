"""The firm's Money page: how all clients stand, and what makes up each figure."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from invoicing.ledger.accounts import read_books, sum_of
from invoicing.payments.expected import money_to_come
from invoicing.payments.summary import debtors, figures
from invoicing.receivables.forecast_drawing import Coming, draw_weeks

SUMS = ("billed", "paid", "held", "open", "overdue", "credit")
BY_AGE = ("not-due", "to-30", "to-60", "to-90", "over-90")


@require_GET
def firm_money(request: HttpRequest) -> HttpResponse:
    """Billed, paid, held, open, overdue by age and credit; who owes what; what is to come."""
    books, today = read_books(), timezone.localdate()
    found = figures(books, today)
    expected = money_to_come(books)
    to_come = [each for each in expected if each.on]
    undated = [each for each in expected if not each.on]
    weeks = draw_weeks([Coming(each.on, each.amount, each.is_billed) for each in to_come], today)
    context = {
        "place": "firm-money",
        "sums": [found[name] for name in SUMS],
        "by_age": [found[name] for name in BY_AGE],
        "debtors": debtors(books, today),
        "weeks": weeks,
        "to_come": to_come,
        "undated": undated,
        "undated_sum": sum_of(each.amount for each in undated),
    }
    return render(request, "invoicing/payments/firm_money.html", context)


@require_GET
def firm_figure(request: HttpRequest, name: str) -> HttpResponse:
    """One figure with the rows that it is the sum of."""
    figure = figures(read_books(), timezone.localdate()).get(name)
    if figure is None:
        raise Http404
    return render(request, "invoicing/payments/firm_figure.html", {"place": "firm-money", "figure": figure})
