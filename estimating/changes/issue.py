"""Issuing a change order: what it shows, why it can't be issued yet, and the statement of the contract."""

from base64 import b64encode
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.changes.draft import ChangeDraft, SignedJob, read_change, signed_job, waiting_changes
from estimating.changes.price import ChangeRow, hour_price
from estimating.changes.snapshot import ChangeWords, change_snapshot, statement_snapshot
from estimating.contract.cancellation_rule import ADDRESS_MISSING, notice_on_change
from estimating.contract.unit_prices import quantities_taken
from estimating.documents.billing_hooks import PaymentsUnfit, change_payments
from estimating.documents.issue import CannotIssue, Unissued, in_a_sentence, issue
from estimating.estimates.snapshots import estimate_on_paper
from estimating.events import states
from estimating.models import ChangeOrder, Document, Job
from estimating.plain_text import money

NOT_SIGNED = "The estimate isn't signed yet: what changes now goes on a new estimate."


def change_to_issue(job: Job, change: ChangeOrder, firm: Firm, today: date) -> tuple[ChangeDraft, Unissued]:
    """The change as it would be issued today. Raises CannotIssue with every reason against it."""
    signed = signed_job(job)
    if signed is None:
        raise CannotIssue(NOT_SIGNED)
    draft = read_change(change, signed, firm, today)
    earlier = change.issued()
    waiting = [each for each in waiting_changes(job) if each != earlier]
    if reasons := tuple(_reasons(draft, earlier, waiting, today)):
        raise CannotIssue(*reasons)
    paper = _unissued(draft, earlier, waiting, firm, today)
    if (notice := paper.snapshot["cancellation"]) and not notice["address"]:
        raise CannotIssue(ADDRESS_MISSING)
    if earlier and earlier.state() in states.OPEN and _says_the_same(earlier, paper):
        raise CannotIssue(f"Nothing has changed since {in_a_sentence(earlier)} was issued.")
    return draft, paper


def _says_the_same(earlier: Document, paper: Unissued) -> bool:
    named = ("number", "title")
    then, now = ({**shown} for shown in (earlier.read_snapshot(), paper.snapshot))
    return all(then.get(name) == now[name] for name in now if name not in named)


def issue_change(change: ChangeOrder, paper: Unissued, at: datetime) -> Document:
    """Issue it, unless something was signed or issued meanwhile that it should have counted.

    Call outside any transaction. Raises CannotIssue, and PangoMissing of estimating.paper.
    """
    seen = paper.snapshot["contract"]

    def still_so(document: Document) -> None:
        signed = signed_job(change.job)
        waiting = [each for each in waiting_changes(change.job) if each != document]
        now = [{"label": _name(each), "price": money(each.total.amount)} for each in waiting]
        if signed is None or money(signed.contract.total) != seen["before"] or now != seen["waiting"]:
            raise CannotIssue("Another change was signed or issued meanwhile. Read this one again.")

    return issue(paper, at, still_so)


def _reasons(
    draft: ChangeDraft, earlier: Document | None, waiting: Sequence[Document], today: date
) -> Iterator[str]:
    if earlier and earlier.state() == states.ACCEPTED:
        yield f"{earlier} is signed. What changes now goes on a further one."
        return
    yield from draft.problems
    if not draft.priced.rows and not draft.change.days:
        yield "Nothing changes yet: add work, take some out, settle an allowance, or say what days it adds."
    yield from _taken_twice(draft, waiting)
    yield from _beyond_signed(draft, waiting, today)
    credits = sum((min(each.total.amount, Decimal(0)) for each in waiting), Decimal(0))
    if draft.priced.total < 0 and draft.after + credits < 0:
        least = draft.after + credits
        also = " with the credits that wait for a signature" if credits else ""
        yield (
            f"It would take the contract sum{also} to {format_price(least)}, below zero. "
            "A contract can't come to less than nothing: take less out."
        )


def _taken_twice(draft: ChangeDraft, waiting: Sequence[Document]) -> Iterator[str]:
    """Lines of the contract that another unsigned change settles as well."""
    mine = {row.refers.place: row.refers.title for row in draft.priced.rows if row.refers}
    for document in waiting:
        for line in document.read_basis()["lines"]:
            place = (line.get("refers_document"), line.get("refers_key"))
            if place in mine:
                yield (
                    f"{document} settles {mine[place]} too and waits for a signature. "
                    "Withdraw it, or take this off here."
                )


def _beyond_signed(draft: ChangeDraft, waiting: Sequence[Document], today: date) -> Iterator[str]:
    """What goes beyond a signed price only together with what unsigned changes hold of it."""
    held = quantities_taken(document.read_basis() for document in waiting)
    for row in draft.priced.rows:
        if row.by is None or row.by.why_not(row.quantity, today):
            continue
        if reason := row.by.why_not(row.quantity, today, held.get(row.by.place, Decimal(0))):
            yield reason


def _unissued(
    draft: ChangeDraft, earlier: Document | None, waiting: Sequence[Document], firm: Firm, today: date
) -> Unissued:
    change, signed = draft.change, draft.signed
    change.estimate.dated = today
    basis = _basis(draft)
    try:
        payments, placed = change_payments(change, basis)
    except PaymentsUnfit as error:
        raise CannotIssue(str(error)) from error
    snapshot = change_snapshot(
        estimate_on_paper(change.estimate, firm, draft.work),
        _words(draft),
        draft.priced,
        signed.rules,
        signed.contract,
        [(_name(each), each.total.amount) for each in waiting],
    )
    before = signed.contract.total
    notice = notice_on_change(change.job.signing_place, snapshot["firm"], draft.priced.added, before)
    return Unissued(
        kind=Document.Kind.CHANGE_ORDER,
        job=change.job,
        snapshot={**snapshot, **payments, "cancellation": notice},
        basis={**basis, **placed},
        dated=today,
        total=draft.priced.total,
        valid_to=change.estimate.valid_to,
        estimate=change.estimate,
        supersedes=earlier,
    )


def _words(draft: ChangeDraft) -> ChangeWords:
    change = draft.change
    return ChangeWords(
        about=change.title,
        reason=change.reason,
        found=change.found,
        asked_by=change.asked_by,
        photos=[
            (each.caption, b64encode(bytes(each.content)).decode("ascii")) for each in change.photos.all()
        ],
        days=change.days,
        days_before=draft.signed.days,
        payment=change.payment,
    )


def _basis(draft: ChangeDraft) -> dict[str, Any]:
    """As of an estimate: lines with their keys, the rules, the sums; and what each line refers to."""
    priced, rules = draft.priced, draft.signed.rules
    return {
        "lines": [_line(row) for row in priced.rows],
        "allowances": [],
        "options": [],
        "policy": {"tax_policy": rules.tax_policy, "tax_rate": f"{rules.tax_rate}"},
        "hour_price": money(hour_price(rules)),
        "markup": str(rules.terms.markup),
        "days": draft.change.days,
        "before": money(draft.signed.contract.total),
        "subtotal": money(priced.subtotal),
        "tax_base": money(priced.tax_base),
        "tax": money(priced.tax),
        "total": money(priced.total),
    }


def _line(row: ChangeRow) -> dict[str, Any]:
    refers = row.refers
    return {
        "key": row.key,
        "kind": row.kind,
        "title": row.title,
        "price": money(row.price),
        "taxable": money(row.taxable),
        "hours": money(row.hours),
        "cost": money(row.cost),
        "refers_document": refers.document if refers else None,
        "refers_key": refers.key if refers else "",
        "by_document": row.by.document if row.by else None,
        "by_key": row.by.key if row.by else "",
        "quantity": f"{row.quantity.normalize():f}",
    } | ({} if row.material is None else {"material": money(row.material)})


def _name(document: Document) -> str:
    change = getattr(document.estimate, "change", None)
    return f"{document}, {change.title}" if change else str(document)


def statement(job: Job, signed: SignedJob, today: date) -> Mapping[str, Any]:
    """The statement of the contract as of a day."""
    waiting = [(_name(each), each.total.amount) for each in waiting_changes(job)]
    return statement_snapshot(
        signed.estimate.read_snapshot(), today.isoformat(), signed.contract, signed.days, waiting
    )
