"""The whole file of a job as one paper: what was signed, changes, photos, messages, bills and payments.

It is drawn anew from what was kept when each paper was issued, and says so: the issued PDFs stay the
originals, and their SHA-256 stand on its first page.
"""

from base64 import b64encode
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Any

from django.utils import timezone

from catalog.models import Firm
from estimating.client.signing import signed_paper
from estimating.client.uploads import JPEG
from estimating.documents.history import history, rows, talk
from estimating.models import Acceptance, Document, Job, Scan
from estimating.plain_text import lines_of, money
from estimating.snapshots.estimate import party
from estimating.snapshots.wording import Party
from invoicing.ledger.accounts import Books, entries_of_job, job_money, read_books, where_it_went
from invoicing.models import MilestonePhoto, Payment, Reminder

Part = dict[str, Any]


def job_file(job: Job, firm: Firm, today: date) -> dict[str, Any]:
    """The snapshot of the whole file as of a day. Reads every paper of the job but its PDF."""
    documents = list(
        Document.objects.filter(job=job).defer("pdf").prefetch_related("events").order_by("issued_at", "pk")
    )
    signed = {each.document_id: each for each in _acceptances(job)}
    books = read_books(job.client)
    return {
        "kind": "job_file",
        "paper": firm.paper_size,
        "title": f"The whole file: {job.name}",
        "first_line": "Everything on this job that was issued, signed, asked, billed and paid.",
        "firm": party(Party(firm.name, firm.owner, firm.license, firm.address, firm.phone, firm.email)),
        "client": party(
            Party(job.client.name, "", "", job.client.address, job.client.phone, job.client.email)
        ),
        "job": {"name": job.name, "address": lines_of(job.address)},
        "dated": today.isoformat(),
        "contents": [_named(each.document, each.state) for each in rows(documents, today)],
        "sums": _sums(books, job, today),
        "payments": _payments(books, job),
        "talk": [_said(document, each) for document in documents for each in talk(document)],
        "reminders": _reminders(documents),
        "happened": [
            {"at": _moment(each.at), "words": each.words} for each in reversed(history(documents, today))
        ],
        "photos": _photos(job),
        "parts": [part for each in documents if _is_in(each, signed) for part in _parts(each, signed)],
    }


def _is_in(document: Document, signed: dict[int, Acceptance]) -> bool:
    """Papers that were replaced before anybody signed them are listed, not drawn."""
    return document.pk in signed or not hasattr(document, "superseded_by")


def _acceptances(job: Job) -> Iterable[Acceptance]:
    return Acceptance.objects.filter(document__job=job).select_related("document", "link")


def _parts(document: Document, signed: dict[int, Acceptance]) -> list[Part]:
    """The paper as it was issued, and where it was signed the record of that."""
    if document.pk in signed:
        paper = signed_paper(signed[document.pk])
        articles = (paper["article"], "documents/_notices.html", "documents/_signing.html")
        return [{"article": article, "paper": paper} for article in articles]
    return [{"article": f"documents/_{document.kind}.html", "paper": document.read_snapshot()}]


def _named(document: Document, state: str) -> Part:
    return {
        "name": str(document),
        "dated": document.dated.isoformat(),
        "state": state,
        "total": money(document.total.amount),
        "sha256": document.pdf_sha256,
    }


def _sums(books: Books, job: Job, today: date) -> list[Part]:
    stands = job_money(books, job, today)
    named = (
        ("Billed", stands.billed),
        ("Credited", stands.credited),
        ("Paid", stands.paid),
        ("Open", stands.open),
    )
    return [{"label": label, "amount": money(amount)} for label, amount in named]


def _payments(books: Books, job: Job) -> list[Part]:
    return [
        {
            "on": row.on.isoformat(),
            "says": _says(books, row),
            "amount": money(row.came_in()),
        }
        for row in reversed(entries_of_job(books, job))
    ]


def _says(books: Books, row: Payment) -> str:
    went = where_it_went(books, row)
    return f"{row.get_kind_display()}, {row.how()}{f'; went to: {went}' if went else ''}"


def _said(document: Document, each: Any) -> Part:
    return {
        "who": f"{document}, asked" if each.by_client else f"{document}, answered",
        "at": _moment(each.at),
        "text": lines_of(each.text),
    }


def _reminders(documents: Sequence[Document]) -> list[Part]:
    sent = Reminder.objects.filter(invoice__in=[each.pk for each in documents]).select_related("invoice")
    return [
        {"name": f"{each}, to {each.to}", "at": _moment(each.at), "text": lines_of(each.text)}
        for each in sent
    ]


def _photos(job: Job) -> list[Part]:
    """Photos of milestones that were met, and of signatures on paper; those of a change are on its paper. A
    scan that is itself a PDF stays with its signature."""
    met = MilestonePhoto.objects.filter(milestone__plan__job=job).select_related("milestone")
    scans = Scan.objects.filter(acceptance__document__job=job, content_type=JPEG)
    scans = scans.select_related("acceptance__document").defer("acceptance__document__pdf")
    return [
        *(_photo(f"{each.milestone}: seen to be met", each.content) for each in met),
        *(_photo(f"Signature on paper, {each.acceptance.document}", each.content) for each in scans),
    ]


def _photo(says: str, content: bytes) -> Part:
    return {"says": says, "jpeg": b64encode(bytes(content)).decode("ascii")}


def _moment(at: Any) -> str:
    return f"{timezone.localtime(at):%Y-%m-%d %H:%M}"
