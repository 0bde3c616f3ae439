"""The contract sum that a plan of payments must come to, from the price bases of what was signed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from estimating.contract.lines import SignedBasis
from invoicing.milestones.plan import NO_MONEY, SignedChange, sum_money


@dataclass(frozen=True)
class ContractAmounts:
    """What was signed or, while nothing is, what the draft comes to; before sales tax, except `tax`.

    `amount` is the estimate with the chosen options, `taxable` the part of it that is taxed. `tax` is the
    sales tax of the whole contract, that of the signed changes included. `documents` are the estimate and
    the signed change orders, in this order. `late_percent` is the late charge that the estimate states, in
    percent a year; 0 where it states none.
    """

    is_signed: bool
    amount: Decimal
    taxable: Decimal
    tax: Decimal
    documents: tuple[SignedBasis, ...]
    changes: tuple[SignedChange, ...] = ()
    late_percent: Decimal = Decimal(0)

    @property
    def contract_sum(self) -> Decimal:
        """The estimate with every signed change, before sales tax."""
        return self.amount + sum_money(change.amount for change in self.changes)


def contract_amounts(
    estimate: SignedBasis, changes: Sequence[tuple[SignedBasis, str]], is_signed: bool
) -> ContractAmounts:
    """Return what an estimate and the signed changes, each with its title, come to."""
    basis = estimate.basis
    options = [basis["options"][position] for position in sorted(estimate.options_chosen)]
    taxable = Decimal(basis["tax_base"]) + _taxable(basis["policy"]["tax_policy"], options)
    estimate_tax = round_cents(Fraction(taxable) * Fraction(basis["policy"]["tax_rate"]))
    return ContractAmounts(
        is_signed=is_signed,
        amount=Decimal(basis["subtotal"]) + _sum(options, "price"),
        taxable=taxable,
        tax=estimate_tax + sum_money(Decimal(document.basis["tax"]) for document, _ in changes),
        documents=(estimate, *(document for document, _ in changes)),
        changes=tuple(change for document, title in changes for change in signed_changes_of(document, title)),
        late_percent=Decimal(basis.get("late_percent", "0")),
    )


def change_key(document: int, is_time_and_material: bool) -> str:
    """Return the key by which plans and lines of bills name a signed change, or its time and material.

    The keys are stored with issued bills, so they must stay as they are.
    """
    return f"change-{document}{'-measured' if is_time_and_material else ''}"


def signed_changes_of(document: SignedBasis, title: str) -> tuple[SignedChange, ...]:
    """Return a change order as it is billed: its fixed price, and its time and material up to a limit.

    A part that comes to nothing is left out.
    """
    basis = document.basis
    limited = [line for line in basis["lines"] if line["kind"] == "at_most"]
    limit, limit_taxable = _sum(limited, "price"), _taxable(basis["policy"]["tax_policy"], limited)
    fixed, fixed_taxable = Decimal(basis["subtotal"]) - limit, Decimal(basis["tax_base"]) - limit_taxable
    parts = (
        SignedChange(change_key(document.document, False), title, fixed, fixed_taxable),
        SignedChange(
            change_key(document.document, True), f"{title}, by the hour", limit, limit_taxable, True
        ),
    )
    return tuple(part for part in parts if part.amount)


def _taxable(policy: str, lines: Iterable[Mapping[str, Any]]) -> Decimal:
    """Return what is taxed of lines of a basis under a tax policy."""
    key = {"materials": "taxable", "everything": "price"}.get(policy)
    return _sum(lines, key) if key else NO_MONEY


def _sum(lines: Iterable[Mapping[str, Any]], key: str) -> Decimal:
    return sum_money(Decimal(line[key]) for line in lines)
