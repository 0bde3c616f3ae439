"""What the page of a job shows its holder: every paper sent to him, what waits for him, what he owes."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.money.amounts import format_price
from estimating.client.signing import choices_left, is_to_be_signed, why_closed
from estimating.documents.billing_hooks import ClientBill, RefundDue, billing
from estimating.documents.history import Message, conversation
from estimating.events import states
from estimating.models import Acceptance, ClientLink, Document, JobLink
from estimating.plain_text import day_in_words

_OVER = {
    states.SUPERSEDED: "replaced by a newer one",
    states.WITHDRAWN: "withdrawn",
    states.DECLINED: "declined",
    states.EXPIRED: "past its last day",
}


@dataclass(frozen=True)
class Paper:
    """A paper on the page: where it stands, in words, its signature, and how a bill is paid."""

    link: ClientLink
    state: str
    signature: Acceptance | None
    bill: ClientBill | None

    @property
    def document(self) -> Document:
        return self.link.document

    @property
    def title(self) -> str:
        """What a change is called; empty for any other paper."""
        change = getattr(self.document.estimate, "change", None)
        return change.title if change and self.document.kind == Document.Kind.CHANGE_ORDER else ""


@dataclass(frozen=True)
class Waiting:
    """Something that the holder is asked for: in words, with its day, and what its button says."""

    paper: Paper
    words: str
    by: date | None
    verb: str
    is_late: bool = False


@dataclass(frozen=True)
class Asked:
    """What was asked about a paper and answered."""

    paper: Paper
    messages: Sequence[Message]
    waits: bool


@dataclass(frozen=True)
class JobPage:
    """The page: its papers newest first, those that are over apart, what waits, and what was asked.

    `credit` is money of his that no bill has used and that doesn't go back for something canceled.
    """

    papers: Sequence[Paper]
    over: Sequence[Paper]
    waiting: Sequence[Waiting]
    asked: Sequence[Asked]
    refunds: Sequence[RefundDue] = ()
    credit: Decimal = Decimal("0.00")

    @property
    def is_canceled(self) -> bool:
        """Whether the contract was canceled, and none was signed since."""
        signed = (paper.document for paper in self.papers if paper.signature)
        newest = next((document for document in signed if document.kind == Document.Kind.ESTIMATE), None)
        return newest is not None and newest.was_canceled()

    @property
    def bills(self) -> list[Paper]:
        """The invoices in the order of their dates."""
        return [paper for paper in reversed(self.papers) if paper.bill]

    @property
    def billed(self) -> Decimal:
        return sum((bill.asked for bill in self._amounts()), Decimal("0.00"))

    @property
    def paid(self) -> Decimal:
        return sum((bill.paid for bill in self._amounts()), Decimal("0.00"))

    @property
    def open(self) -> Decimal:
        """What he owes on the bills that he was sent."""
        return sum((bill.open for bill in self._amounts()), Decimal("0.00"))

    def _amounts(self) -> Iterator[ClientBill]:
        yield from (paper.bill for paper in self.papers if paper.bill)


def read_page(page: JobLink, today: date) -> JobPage:
    """Return what stands on a page. Costs a few queries for each paper."""
    links = (
        page.papers.filter(withdrawn_at=None)
        .select_related(
            "document__job__client", "document__estimate__change", "document__acceptance", "job_link"
        )
        .prefetch_related("document__events")
        .order_by("-document__issued_at", "-document__pk")
    )
    documents = [link.document for link in links]
    money = billing().client_money(page.job.client, documents)
    papers = [_paper(link, money.bills, today) for link in links]
    over = [paper for paper in papers if _is_over(paper, today)]
    canceled = any(document.was_canceled() for document in documents)
    refunds = billing().refunds_due([page.job]) if canceled else ()
    goes_back = sum((refund.amount for refund in refunds), Decimal("0.00"))
    return JobPage(
        [paper for paper in papers if paper not in over],
        over,
        [item for paper in reversed(papers) for item in _waiting(paper, today)],
        [asked for paper in papers if (asked := _asked(paper)).messages],
        refunds,
        max(money.credit - goes_back, Decimal("0.00")),
    )


def refunds_of(document: Document) -> list[RefundDue]:
    """Return what goes back to the client of a canceled document for it."""
    return [refund for refund in billing().refunds_due([document.job]) if refund.document == document]


def _paper(link: ClientLink, bills: Mapping[int, ClientBill], today: date) -> Paper:
    document = link.document
    signature: Acceptance | None = getattr(document, "acceptance", None)
    bill = bills.get(document.pk)
    return Paper(link, _state(document, signature, bill, today), signature, bill)


def _state(document: Document, signature: Acceptance | None, bill: ClientBill | None, today: date) -> str:
    """Say how a paper stands, for its client: "signed Mon 2 Mar 2026", "$300.00 to pay by Fri 6 Mar 2026"."""
    if document.was_canceled():
        return "canceled"
    if signature:
        verb = "given" if signature.way == Acceptance.Way.GIVEN else "signed"
        return f"{verb} {day_in_words(signature.signed_on)}"
    if bill:
        return bill.in_words()
    if document.kind == Document.Kind.STATEMENT:
        return "what was billed and paid until then"
    if document.kind == Document.Kind.WAIVER:
        return "given to you"
    if not document.asks_for_answer:
        return "credited to you"
    return _OVER.get(document.state_as_of(today), "waits for your signature")


def _is_over(paper: Paper, today: date) -> bool:
    return paper.signature is None and paper.document.state_as_of(today) in _OVER


def _waiting(paper: Paper, today: date) -> Iterator[Waiting]:
    """Yield what a paper asks of its holder: to sign it, to pay it, to choose."""
    document, bill = paper.document, paper.bill
    if is_to_be_signed(document) and not why_closed(document, today):
        total = f": {format_price(document.total.amount)}" if document.has_sum else ""
        words = f"{document}{f', {paper.title}' if paper.title else ''}{total}"
        yield Waiting(paper, words, document.last_day(), "Read and sign")
    if bill and bill.open:
        words = f"{document}: {format_price(bill.open)} to pay"
        yield Waiting(paper, words, bill.due, "Pay", is_late=bill.due < today)
    if document.kind == Document.Kind.ESTIMATE and paper.signature and not document.was_canceled():
        for choice in choices_left(document, today, is_signed=True):
            words = f"Choose: {choice.name}"
            yield Waiting(paper, words, choice.decide_by, "Look at it", is_late=choice.locked)


def _asked(paper: Paper) -> Asked:
    document = paper.document
    waits = states.question_waits(document.event_kinds())
    return Asked(paper, conversation(document), waits)
