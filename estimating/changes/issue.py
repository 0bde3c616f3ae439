"""Prepares a change order for issuing, with every reason against it; and the statement of the contract."""

from base64 import b64encode
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, datetime
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.changes.draft import ChangeDraft, SignedJob, read_change, signed_job, waiting_changes
from estimating.changes.price import ChangeRow, RowKind, hour_price
from estimating.changes.snapshot import ChangeWords, change_snapshot, statement_snapshot, waiting_rows
from estimating.changes.state_rules import reason_it_stands
from estimating.contract.cancellation_rule import ADDRESS_MISSING, change_notice
from estimating.contract.unit_prices import quantities_used
from estimating.documents.billing_hooks import PaymentsUnfit, billing
from estimating.documents.issue import CannotIssue, UnissuedDocument, in_a_sentence, issue
from estimating.estimates.snapshots import read_estimate_snapshot
from estimating.events import states
from estimating.models import ChangeOrder, Document, Job
from estimating.plain_text import money
from estimating.snapshots.price_basis import operations_for_basis

NOT_SIGNED = "The estimate isn't signed yet: what changes now goes on a new estimate."


def prepare_change(change: ChangeOrder, firm: Firm, today: date) -> UnissuedDocument:
    """Return the change order as it would be issued today.

    Raises CannotIssue with every reason against it.
    """
    signed = signed_job(change.job)
    if signed is None:
        raise CannotIssue(NOT_SIGNED)
    draft = read_change(change, signed, firm, today)
    earlier = change.issued()
    waiting = [document for document in waiting_changes(change.job) if document != earlier]
    if reasons := tuple(_reasons_against(draft, earlier, waiting, today)):
        raise CannotIssue(*reasons)
    unissued = _unissued(draft, earlier, waiting, firm, today)
    if (notice := unissued.snapshot["cancellation"]) and not notice["address"]:
        raise CannotIssue(ADDRESS_MISSING)
    if earlier and earlier.state() in states.OPEN and _shows_the_same(earlier, unissued):
        raise CannotIssue(f"Nothing has changed since {in_a_sentence(earlier)} was issued.")
    return unissued


def _shows_the_same(earlier: Document, unissued: UnissuedDocument) -> bool:
    """Tell whether the document shows what the earlier one does, but for its number and title."""
    then, now = earlier.read_snapshot(), unissued.snapshot
    return all(then.get(name) == now[name] for name in now if name not in ("number", "title"))


def issue_change(
    change: ChangeOrder, unissued: UnissuedDocument, at: datetime, *, date_is_right: bool = False
) -> Document:
    """Issue the change order, unless something was signed or issued meanwhile that it should have counted.

    Call outside any transaction. Raises as `issue` does.
    """
    shown = unissued.snapshot["contract"]

    def check_contract_is_as_shown(document: Document) -> None:
        signed = signed_job(change.job)
        others = [other for other in waiting_changes(change.job) if other != document]
        waiting = waiting_rows(_names_and_totals(others))
        if signed is None or money(signed.contract.total) != shown["before"] or waiting != shown["waiting"]:
            raise CannotIssue("Another change was signed or issued meanwhile. Read this one again.")

    return issue(unissued, at, check_contract_is_as_shown, date_is_right=date_is_right)


def _reasons_against(
    draft: ChangeDraft, earlier: Document | None, waiting: Sequence[Document], today: date
) -> Iterator[str]:
    """Yield every reason against issuing the change.

    `earlier` is what was issued of it before, `waiting` are the other changes that can still be signed.
    """
    if earlier and earlier.state() == states.ACCEPTED:
        yield f"{earlier} is signed. What changes now goes on a further one."
        return
    yield from draft.problems
    if not draft.priced.rows and not draft.change.days:
        yield "Nothing changes yet: add work, remove some, settle an allowance, or say what days it adds."
    yield from _settled_twice(draft, waiting)
    yield from _over_unit_price_limits(draft, waiting, today)
    yield from _sum_below_zero(draft, waiting)


def _sum_below_zero(draft: ChangeDraft, waiting: Sequence[Document]) -> Iterator[str]:
    """Yield that a credit takes the contract sum below zero, waiting credits counted."""
    credits = sum((min(document.total.amount, Decimal(0)) for document in waiting), Decimal(0))
    least = draft.after + credits
    if draft.priced.total < 0 and least < 0:
        also = " with the credits that wait for a signature" if credits else ""
        yield (
            f"It would take the contract sum{also} to {format_price(least)}, below zero. "
            "A contract can't come to less than nothing: take less out."
        )


def _settled_twice(draft: ChangeDraft, waiting: Sequence[Document]) -> Iterator[str]:
    """Yield the contract lines that another unsigned change settles as well."""
    contract_lines = (row.contract_line for row in draft.priced.rows)
    titles = {line.place: line.title for line in contract_lines if line}
    for document in waiting:
        for line in document.read_basis()["lines"]:
            place = (line.get("refers_document"), line.get("refers_key"))
            if place in titles:
                yield (
                    f"{document} settles {titles[place]} too and waits for a signature. "
                    "Withdraw it, or remove this here."
                )


def _over_unit_price_limits(draft: ChangeDraft, waiting: Sequence[Document], today: date) -> Iterator[str]:
    """Yield the quantities that go over a limit only together with those of unsigned changes."""
    used = quantities_used(document.read_basis() for document in waiting)
    for row in draft.priced.rows:
        price = row.unit_price
        if price is None or price.why_not(row.quantity, today):
            continue
        if reason := price.why_not(row.quantity, today, used.get(price.place, Decimal(0))):
            yield reason


def _unissued(
    draft: ChangeDraft, earlier: Document | None, waiting: Sequence[Document], firm: Firm, today: date
) -> UnissuedDocument:
    change, signed = draft.change, draft.signed
    change.estimate.dated = today
    basis = _basis(draft)
    try:
        payments, plan = billing().change_payments(change, basis)
    except PaymentsUnfit as error:
        raise CannotIssue(str(error)) from error
    snapshot = change_snapshot(
        read_estimate_snapshot(change.estimate, firm, draft.work),
        _words(draft),
        draft.priced,
        signed.rules,
        signed.contract,
        _names_and_totals(waiting),
    )
    before = signed.contract.total
    notice = change_notice(change.job.signing_place, snapshot["firm"], draft.priced.added, before)
    return UnissuedDocument(
        kind=Document.Kind.CHANGE_ORDER,
        job=change.job,
        snapshot={**snapshot, **({"payments": payments} if payments else {}), "cancellation": notice},
        basis={**basis, **({"plan": plan} if payments else {})},
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
            (photo.caption, b64encode(bytes(photo.content)).decode("ascii")) for photo in change.photos.all()
        ],
        days=change.days,
        days_before=draft.signed.days,
        days_after=draft.days_after,
        payment=change.payment,
        stands=reason_it_stands(change.job.address, change.job.state) if _is_given(draft) else "",
    )


def _is_given(draft: ChangeDraft) -> bool:
    """Whether the firm gives up part of the price, and the change does nothing else."""
    return bool(draft.priced.rows) and all(row.kind == RowKind.GIVEN_UP for row in draft.priced.rows)


def _basis(draft: ChangeDraft) -> dict[str, Any]:
    """Return the basis of a change: the lines with their keys, the rules and the sums, as for an estimate.

    Each line also names the contract line that it refers to and the unit price that it goes by.
    """
    priced, rules = draft.priced, draft.signed.rules
    return {
        "lines": [_line(row) for row in priced.rows],
        "allowances": [],
        "options": [],
        "operations": operations_for_basis(draft.work.take_off),
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
    settled, price = row.contract_line, row.unit_price
    return {
        "key": row.key,
        "kind": row.kind,
        "title": row.title,
        "price": money(row.price),
        "taxable": money(row.taxable),
        "hours": money(row.hours),
        "cost": money(row.cost),
        "refers_document": settled.document if settled else None,
        "refers_key": settled.key if settled else "",
        "by_document": price.document if price else None,
        "by_key": price.key if price else "",
        "quantity": f"{row.quantity.normalize():f}",
    } | ({} if row.material is None else {"material": money(row.material)})


def _names_and_totals(documents: Iterable[Document]) -> list[tuple[str, Decimal]]:
    """Return the change orders by name and title, each with what it adds."""
    return [(_name(document), document.total.amount) for document in documents]


def _name(document: Document) -> str:
    change = getattr(document.estimate, "change", None)
    return f"{document}, {change.title}" if change else str(document)


def statement(job: Job, signed: SignedJob, today: date) -> Mapping[str, Any]:
    """Return the snapshot of the statement of the contract as of a day."""
    waiting = _names_and_totals(waiting_changes(job))
    return statement_snapshot(
        signed.estimate.read_snapshot(), today.isoformat(), signed.contract, signed.days, waiting
    )
