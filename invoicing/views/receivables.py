"""The firm's Money page: how all clients stand, and what makes up each figure."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils import timezone
from django.views.decorators.http import require_GET

from invoicing.payments.expected import amount_without_day, expected_money
from invoicing.payments.refunds import refunds_due
from invoicing.payments.summary import AGES, SUMS, debtors, figure_rows, read_figures, read_firm_accounts
from invoicing.receivables.weekly_forecast import ExpectedMoney, weekly_forecast


@require_GET
def firm_money(request: HttpRequest) -> HttpResponse:
    """Show what is billed, paid, held, open, overdue by age and in credit, who owes, and what is to come."""
    accounts, today = read_firm_accounts(), timezone.localdate()
    figures, expected = read_figures(accounts, today), expected_money(accounts.books)
    coming = [ExpectedMoney(item.on, item.amount, item.is_billed) for item in expected if item.on]
    context = {
        "place": "firm-money",
        "refunds": refunds_due(),
        "sums": [figures[name] for name in SUMS],
        "by_age": [figures[name] for name, _, _ in AGES],
        "debtors": debtors(accounts.books, today),
        "weeks": weekly_forecast(coming, today),
        "to_come": [item for item in expected if item.on],
        "undated": [item for item in expected if not item.on],
        "undated_sum": amount_without_day(expected),
    }
    return render(request, "invoicing/payments/firm_money.html", context)


@require_GET
def firm_figure(request: HttpRequest, name: str) -> HttpResponse:
    """Show one figure with the rows that it is the sum of, a page at a time."""
    accounts, today = read_firm_accounts(), timezone.localdate()
    figure = read_figures(accounts, today).get(name)
    if figure is None:
        raise Http404
    page = figure_rows(accounts, name, today, request.GET.get("page", ""))
    context = {"place": "firm-money", "figure": figure, "page": page}
    return render(request, "invoicing/payments/firm_figure.html", context)
