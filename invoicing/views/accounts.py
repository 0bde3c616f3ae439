"""A client's account with its statement, the files for the bookkeeper, and the whole file of a job."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.utils.text import slugify
from django.views.decorators.http import require_GET, require_http_methods

from catalog.models import Firm
from catalog.price_lists.spreadsheet import write_csv
from estimating.documents.clock import TICK, DateInDoubt, date_question
from estimating.documents.issue import CannotIssue, issue
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.models import Client
from estimating.views.lookups import get_job
from estimating.views.pdf import pdf_response
from invoicing.bookkeeping.csv_files import TABLES
from invoicing.bookkeeping.job_file import job_file
from invoicing.bookkeeping.statement import client_statement, statement_to_issue
from invoicing.forms.periods import BooksForm, SendStatementForm, SpanForm, this_year
from invoicing.ledger.accounts import read_books
from invoicing.payments.lists import account_rows, owed_rows
from invoicing.receivables.aging import aged_balance
from saving.forms import status_of
from saving.once import keeps_own_transactions


@require_GET
def client_account(request: HttpRequest, client_id: int) -> HttpResponse:
    """Show what a client was billed and paid, and what he owes."""
    client, today = get_object_or_404(Client, pk=client_id), timezone.localdate()
    books = read_books(client)
    account = books.account_of(client.pk)
    context = {
        "place": "firm-money",
        "client": client,
        "account": account,
        "ages": aged_balance(account, today),
        "owed_rows": owed_rows(books, account.receivables, today),
        "rows": account_rows(books, client, today),
        "jobs": client.jobs.all(),
        "paying_job": books.paying_job(client),
        "form": SpanForm(initial=this_year(today)),
    }
    return render(request, "invoicing/payments/client_account.html", context)


@require_GET
def statement_pdf(request: HttpRequest, client_id: int) -> HttpResponse:
    """Return the client's statement of a period as a PDF."""
    client, firm, today = get_object_or_404(Client, pk=client_id), Firm.current(), timezone.localdate()
    form = SpanForm(request.GET)
    if not form.is_valid():
        context = {"place": "firm-money", "client": client, "form": form}
        return render(request, "invoicing/payments/statement_form.html", context, status=422)
    days = form.cleaned_data
    snapshot = client_statement(client, firm, days["since"], days["until"], today)
    return _pdf(snapshot, f"statement-{slugify(client.name)[:60]}.pdf")


@keeps_own_transactions
@require_http_methods(["GET", "POST"])
def statement_send(request: HttpRequest, client_id: int) -> HttpResponse:
    """Issue the client's statement of a period for the page of a job; then it is sent as any paper."""
    client, firm, today = get_object_or_404(Client, pk=client_id), Firm.current(), timezone.localdate()
    form = SendStatementForm(
        request.POST or None,
        initial={**this_year(today), **request.GET.dict(), "job": read_books(client).paying_job(client)},
        jobs=client.jobs.all(),
        date_question=date_question(timezone.now()),
    )
    if form.is_valid():
        typed = form.cleaned_data
        unissued = statement_to_issue(typed["job"], firm, typed["since"], typed["until"], today)
        try:
            document = issue(unissued, timezone.now(), date_is_right=typed.get(TICK, False))
        except (DateInDoubt, CannotIssue, PangoMissing) as error:
            form.add_error(None, str(error))
        else:
            messages.success(request, f"{document} is issued. Now send it.")
            return redirect("document-send", document.pk)
    context = {"place": "firm-money", "client": client, "form": form}
    return render(request, "invoicing/payments/statement_send.html", context, status=status_of(form))


@require_GET
def books(request: HttpRequest) -> HttpResponse:
    """Show the files of a period that a bookkeeper asks for."""
    form = BooksForm(request.GET if "since" in request.GET else None, initial=this_year(timezone.localdate()))
    context = {"place": "firm-money", "form": form}
    return render(request, "invoicing/payments/books.html", context, status=status_of(form))


@require_GET
def books_file(request: HttpRequest, name: str) -> HttpResponse:
    """Return one of the files, as CSV."""
    if name not in TABLES:
        raise Http404
    form = BooksForm(request.GET)
    if not form.is_valid():
        context = {"place": "firm-money", "form": form}
        return render(request, "invoicing/payments/books.html", context, status=422)
    span = form.span()
    table = TABLES[name](span)
    file = f"{name}-{span.since}-to-{span.until}.csv"
    return HttpResponse(
        write_csv(table.headings, table.rows).encode("utf-8-sig"),
        content_type="text/csv; charset=utf-8",
        headers={"Content-Disposition": f'attachment; filename="{file}"', "Cache-Control": "no-store"},
    )


@require_GET
def job_file_pdf(request: HttpRequest, job_id: int) -> HttpResponse:
    """Return everything that was issued, signed, asked, billed and paid on a job, as one PDF."""
    job = get_job(job_id)
    snapshot = job_file(job, Firm.current(), timezone.localdate())
    return _pdf(snapshot, f"file-{slugify(job.name)[:60]}.pdf")


def _pdf(snapshot: dict[str, Any], name: str) -> HttpResponse:
    try:
        return pdf_response(make_pdf(snapshot), name)
    except PangoMissing as error:
        return HttpResponse(str(error), status=503, content_type="text/plain; charset=utf-8")
