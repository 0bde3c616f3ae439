"""The contract sum that a payment schedule must come to, from the price bases of what was signed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from estimating.contract.contract_sum import CHANGE_ORDER, ESTIMATE, SignedDocument, contract_sum
from estimating.contract.document_amounts import DocumentAmounts, TaxedAmount, document_amounts
from estimating.contract.lines import SignedBasis
from invoicing.milestones.plan import SignedChange


@dataclass(frozen=True)
class ContractAmounts:
    """What was signed or, while nothing is, what the draft comes to; before sales tax, except `tax`.

    `amount` is the estimate with the chosen options, `taxable` the part of it that is taxed. `contract_sum`
    is the estimate with every signed change, `tax` the sales tax on it. `documents` are the estimate and the
    signed change orders, in this order. `changes` count what goes by the hour at its limit until it is
    settled; `as_signed` at its limit for good. `late_percent` is the late charge that the estimate states, in
    percent a year, and `returned_fee` that for a check that the bank returns; 0 where it states none.
    """

    is_signed: bool
    amount: Decimal
    taxable: Decimal
    contract_sum: Decimal
    tax: Decimal
    documents: tuple[SignedBasis, ...]
    changes: tuple[SignedChange, ...] = ()
    late_percent: Decimal = Decimal(0)
    returned_fee: Decimal = Decimal(0)
    as_signed: tuple[SignedChange, ...] = ()

    @property
    def with_tax(self) -> Decimal:
        """The contract sum with sales tax, as the papers state it."""
        return self.contract_sum + self.tax


def contract_amounts(
    estimate: SignedBasis,
    changes: Sequence[tuple[SignedBasis, str]],
    is_signed: bool,
    settled: Mapping[int, TaxedAmount] = {},
) -> ContractAmounts:
    """Return what an estimate and the signed changes, each with its title, come to.

    `settled` is what work by the hour counts at, by the primary key of its change order.
    """
    first = document_amounts(estimate)
    papers = [_paper(ESTIMATE, 1, first)] + [
        _paper(CHANGE_ORDER, number, document_amounts(document, settled.get(document.document)))
        for number, (document, _) in enumerate(changes, 1)
    ]
    contract = contract_sum(papers)
    return ContractAmounts(
        is_signed=is_signed,
        amount=first.fixed.amount,
        taxable=first.fixed.taxable,
        contract_sum=contract.before_tax,
        tax=contract.tax,
        documents=(estimate, *(document for document, _ in changes)),
        changes=tuple(
            change
            for document, title in changes
            for change in signed_changes_of(document, title, settled.get(document.document))
        ),
        as_signed=tuple(
            change for document, title in changes for change in signed_changes_of(document, title)
        ),
        late_percent=Decimal(estimate.basis.get("late_percent", "0")),
        returned_fee=Decimal(estimate.basis.get("returned_fee", "0")),
    )


def _paper(kind: str, number: int, amounts: DocumentAmounts) -> SignedDocument:
    """Return a signed document for its sums alone; when it was signed doesn't matter to them."""
    signed = amounts.fixed.amount + amounts.limit.amount + amounts.signed_tax
    return SignedDocument(kind, number, signed, date.min, "", amounts.signed_tax, amounts.settlement)


def change_key(document: int, is_time_and_material: bool) -> str:
    """Return the key by which plans and lines of bills name a signed change, or its time and material.

    The keys are stored with issued bills, so they must stay as they are.
    """
    return f"change-{document}{'-measured' if is_time_and_material else ''}"


def signed_changes_of(
    document: SignedBasis, title: str, settled: TaxedAmount | None = None
) -> tuple[SignedChange, ...]:
    """Return a change order as it is billed: its fixed price, and its time and material up to a limit.

    `settled` is what the latter came to. A part that was signed at nothing is left out.
    """
    amounts = document_amounts(document, settled)
    fixed, limit, came_to = amounts.fixed, amounts.limit, amounts.by_the_hour
    parts = [SignedChange(change_key(document.document, False), title, fixed.amount, fixed.taxable)]
    measured = SignedChange(
        change_key(document.document, True),
        f"{title}, by the hour",
        came_to.amount,
        came_to.taxable,
        is_time_and_material=True,
        is_settled=came_to != limit,
    )
    return tuple(part for part in parts if part.amount) + ((measured,) if limit.amount else ())
