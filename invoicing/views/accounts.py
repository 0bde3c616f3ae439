"""A client's account with its statement, the files for the bookkeeper, and the whole file of a job."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET

from catalog.models import Firm
from catalog.price_lists.csv_file import write_csv
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.models import Client
from estimating.snapshots.wording import Party
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from invoicing.bookkeeping import csv_files
from invoicing.bookkeeping.job_file import job_file
from invoicing.forms.periods import BooksForm, SpanForm, this_year
from invoicing.ledger.accounts import Books, read_books
from invoicing.payments.lists import owed_rows
from invoicing.receivables.ageing import ages, statement
from invoicing.receivables.journal import Period
from invoicing.snapshots.statement import StatementHead, statement_snapshot

SHEETS: dict[str, Callable[[Books, dict[str, Any]], csv_files.Sheet]] = {
    "invoices": lambda books, span: csv_files.invoices_sheet(books, span["since"], span["until"]),
    "payments": lambda books, span: csv_files.payments_sheet(books, span["since"], span["until"]),
    "sales-tax": lambda books, span: csv_files.tax_sheet(
        books, Period(span["by"]), span["since"], span["until"]
    ),
    "journal": lambda books, span: csv_files.journal_sheet(books, span["since"], span["until"]),
    "materials": lambda books, span: csv_files.materials_sheet(span["until"].year),
}


@require_GET
def client_account(request: HttpRequest, client_id: int) -> HttpResponse:
    """What a client was billed and paid, and what he owes."""
    client, today = get_object_or_404(Client, pk=client_id), timezone.localdate()
    books = read_books(client)
    state, entries = books.of(client.pk), books.entries.get(client.pk, ())
    since = min((entry.on for entry in entries), default=today)
    form = SpanForm(initial=this_year(today))
    context = {
        "place": "firm-money",
        "client": client,
        "state": state,
        "ages": ages(state, today),
        "owed_rows": owed_rows(books, state.owed, today),
        "rows": [(row, books.url_of(row.key)) for row in statement(entries, since, today)[1:]],
        "jobs": client.jobs.all(),
        "form": form,
    }
    return render(request, "invoicing/payments/client_account.html", context)


@require_GET
def statement_pdf(request: HttpRequest, client_id: int) -> HttpResponse:
    """The client's statement of a period."""
    client, firm, today = get_object_or_404(Client, pk=client_id), Firm.current(), timezone.localdate()
    form = SpanForm(request.GET)
    if not form.is_valid():
        context = {"place": "firm-money", "client": client, "form": form}
        return render(request, "invoicing/payments/statement_form.html", context, status=422)
    span = form.cleaned_data
    head = StatementHead(
        firm=Party(firm.name, firm.owner, firm.license, firm.address, firm.phone, firm.email),
        client=Party(client.name, address=client.address, phone=client.phone, email=client.email),
        since=span["since"],
        until=min(span["until"], today),
        paper_size=firm.paper_size,
    )
    snapshot = statement_snapshot(head, read_books(client).entries.get(client.pk, ()))
    return _pdf(snapshot, f"statement-{slugify(client.name)[:60]}.pdf")


@require_GET
def books(request: HttpRequest) -> HttpResponse:
    """What the bookkeeper asks for, as files of a period."""
    form = BooksForm(request.GET if "since" in request.GET else None, initial=this_year(timezone.localdate()))
    context = {"place": "firm-money", "form": form}
    return render(request, "invoicing/payments/books.html", context, status=422 if form.errors else 200)


@require_GET
def books_file(request: HttpRequest, name: str) -> HttpResponse:
    """One of the files, as CSV."""
    if name not in SHEETS:
        raise Http404
    form = BooksForm(request.GET)
    if not form.is_valid():
        context = {"place": "firm-money", "form": form}
        return render(request, "invoicing/payments/books.html", context, status=422)
    span = form.cleaned_data
    sheet = SHEETS[name](read_books(), span)
    file = f"{name}-{span['since']}-to-{span['until']}.csv"
    return HttpResponse(
        write_csv(sheet.headings, sheet.rows).encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{file}"', "Cache-Control": "no-store"},
    )


@require_GET
def job_file_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Everything that was issued, signed, asked, billed and paid on a job, as one PDF."""
    job = get_job(job_id)
    snapshot = job_file(job, Firm.current(), timezone.localdate())
    return _pdf(snapshot, f"file-{slugify(job.name)[:60]}.pdf")


def _pdf(snapshot: dict[str, Any], name: str) -> HttpResponse:
    try:
        return pdf_response(make_pdf(snapshot), name)
    except PangoMissing as error:
        return HttpResponse(str(error), status=503, content_type="text/plain; charset=utf-8")
