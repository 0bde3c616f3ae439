"""The whole file of a job as one document: what was signed, said, chosen, seen, done, billed and paid.

It is drawn anew from what was stored when each document was issued, and says so: the issued PDFs stay the
originals, and their SHA-256 stand on its first page.
"""

from base64 import b64encode
from collections.abc import Mapping, Sequence
from datetime import date, datetime
from typing import Any

from django.utils import timezone

from catalog.models import Firm
from closing.care.read import read_care_snapshot
from closing.punch_list.read import list_for_file
from estimating.changes.draft import signed_job
from estimating.client.signed_copy import signed_snapshot
from estimating.client.uploads import JPEG
from estimating.documents.history import Message, conversation, document_rows, history
from estimating.estimates.snapshots import client_party, firm_party
from estimating.models import Acceptance, Document, Job, Scan
from estimating.plain_text import day_in_words, money, nonblank_lines
from invoicing.ledger.accounts import Books, job_balance, payments_of_job, read_books, uses_in_words
from invoicing.models import MilestonePhoto, Payment, Reminder
from jobsite.choices.choosing import choices_for_file
from jobsite.diary.read import diary_for_file
from jobsite.models import CallBack
from jobsite.permits.read import lead_record_of, permits_for_file, read_lead_record


def job_file(job: Job, firm: Firm, today: date) -> dict[str, Any]:
    """Return the snapshot of the whole file as of a day. Reads every document of the job but its PDF."""
    documents = list(
        Document.objects.filter(job=job).defer("pdf").prefetch_related("events").order_by("issued_at", "pk")
    )
    signatures = Acceptance.objects.filter(document__job=job).select_related("document", "link")
    signed = {acceptance.document_id: acceptance for acceptance in signatures}
    books = read_books(job.client)
    parts = [_parts(document, signed) for document in documents if _is_in(document, signed)]
    return {
        "kind": "job_file",
        "paper": firm.paper_size,
        "title": f"The whole file: {job.name}",
        "first_line": "Everything on this job that was issued, signed, asked, billed and paid.",
        "firm": firm_party(firm).for_snapshot(),
        "client": client_party(job.client).for_snapshot(),
        "job": {"name": job.name, "address": nonblank_lines(job.address)},
        "dated": today.isoformat(),
        "contents": [_content(row.document, row.state, signed) for row in document_rows(documents, today)],
        "sums": _sums(books, job, today),
        "payments": [_payment(books, payment) for payment in reversed(payments_of_job(books, job))],
        "talk": [_message(document, message) for document in documents for message in conversation(document)],
        "reminders": _reminders(documents),
        "happened": [
            {"at": _minute(entry.at), "words": entry.words} for entry in reversed(history(documents, today))
        ],
        "photos": _photos(job),
        "choices": choices_for_file(job),
        "permits": permits_for_file(job),
        "diary": diary_for_file(job),
        "punch_list": list_for_file(job),
        "call_backs": _call_backs(job),
        "parts": [part for papers in parts for part in papers] + _records(job, firm, today),
        "notices": [papers[0] for papers in parts if papers[0]["paper"].get("cancellation")],
    }


def _records(job: Job, firm: Firm, today: date) -> list[dict[str, Any]]:
    """Return the papers that are drawn from what stands today: of lead-safe work, and of care."""
    papers = []
    if (record := lead_record_of(job)).pk:
        papers.append(read_lead_record(job, record, today))
    if (care := read_care_snapshot(job, firm, today))["entries"]:
        papers.append(care)
    return [{"article": f"documents/_{paper['kind']}.html", "paper": paper} for paper in papers]


def _call_backs(job: Job) -> list[dict[str, str]]:
    """Return what showed up after the end. What it cost is the firm's own to know."""
    rows = CallBack.objects.filter(job=job).select_related("worked")
    return [
        {
            "on": row.on.isoformat(),
            "says": row.says,
            "took": f"{row.worked.hours.normalize():f} h" if row.worked else "not been there yet",
        }
        for row in rows
    ]


def _is_in(document: Document, signed: Mapping[int, Acceptance]) -> bool:
    """Return whether a document is drawn; one that was replaced before anybody signed it is only listed."""
    return document.pk in signed or not hasattr(document, "superseded_by")


def _parts(document: Document, signed: Mapping[int, Acceptance]) -> list[dict[str, Any]]:
    """Return the document as it was issued, and where it was signed the record of that.

    `place` is where the list of contents finds its page. Notices of cancellation stand together at the end.
    """
    if document.pk in signed:
        snapshot = signed_snapshot(signed[document.pk])
        paper = {"article": snapshot["article"], "paper": snapshot, "place": _place(document)}
        return [paper, {"article": "documents/_signing.html", "paper": snapshot}]
    article = f"documents/_{document.kind}.html"
    return [{"article": article, "paper": document.read_snapshot(), "place": _place(document)}]


def _place(document: Document) -> str:
    return f"paper-{document.pk}"


def _content(document: Document, state: str, signed: Mapping[int, Acceptance]) -> dict[str, str]:
    """Return the row of a document: what it was signed for, with the options taken, where it was signed."""
    acceptance = signed.get(document.pk)
    return {
        "name": str(document),
        "dated": document.dated.isoformat(),
        "state": state,
        "total": money((acceptance or document).total.amount),
        "sha256": document.pdf_sha256,
        "place": _place(document) if _is_in(document, signed) else "",
    }


def _sums(books: Books, job: Job, today: date) -> list[dict[str, str]]:
    balance = job_balance(books, job, today)
    signed = signed_job(job)
    labeled = [("Contract sum to date, with sales tax", signed.contract.total)] if signed else []
    labeled += [
        ("Billed", balance.billed),
        ("Credited", balance.credited),
        ("Paid", balance.paid),
        ("Open", balance.open),
    ]
    return [{"label": label, "amount": money(amount)} for label, amount in labeled]


def _payment(books: Books, payment: Payment) -> dict[str, str]:
    uses = uses_in_words(books, payment)
    title = f"{payment.get_kind_display()}, {payment.method_in_words()}"
    return {
        "on": payment.on.isoformat(),
        "says": f"{title}; went to: {uses}" if uses else title,
        "amount": money(payment.bank_amount()),
    }


def _message(document: Document, message: Message) -> dict[str, Any]:
    return {
        "who": f"{document}, asked" if message.by_client else f"{document}, answered",
        "at": _minute(message.at),
        "text": nonblank_lines(message.text),
    }


def _reminders(documents: Sequence[Document]) -> list[dict[str, Any]]:
    pks = [document.pk for document in documents]
    sent = Reminder.objects.filter(invoice__in=pks).select_related("invoice")
    return [
        {
            "name": f"{reminder}, to {reminder.to}",
            "at": _minute(reminder.at),
            "text": nonblank_lines(reminder.text),
        }
        for reminder in sent
    ]


def _photos(job: Job) -> list[dict[str, str]]:
    """Return the photos of milestones that were met, of signatures on paper, and of written waivers.

    Those of a change are on its document. A scan that is itself a PDF stays with its signature.
    """
    met = MilestonePhoto.objects.filter(milestone__plan__job=job).select_related("milestone")
    scans = Scan.objects.filter(acceptance__document__job=job, content_type=JPEG)
    scans = scans.select_related("acceptance__document").defer("acceptance__document__pdf")
    return [
        *(_photo(f"{photo.milestone}: seen to be met", photo.content) for photo in met),
        *(
            _photo(f"{_title_of(scan.acceptance)}, {scan.acceptance.document}", scan.content)
            for scan in scans
        ),
    ]


def _title_of(acceptance: Acceptance) -> str:
    is_paper = acceptance.way == Acceptance.Way.PAPER
    return "Signature on paper" if is_paper else "Written waiver of the right to cancel"


def _photo(caption: str, content: bytes | memoryview) -> dict[str, str]:
    return {"says": caption, "jpeg": b64encode(bytes(content)).decode("ascii")}


def _minute(at: datetime) -> str:
    local = timezone.localtime(at)
    return f"{day_in_words(local.date())}, {local:%I:%M %p}".replace(", 0", ", ")
