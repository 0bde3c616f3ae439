"""What one signed document is worth: its fixed price, its work by the hour, and the tax on both."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.money.amounts import round_cents
from estimating.contract.contract_sum import Settlement
from estimating.contract.lines import SignedBasis
from estimating.takeoff.work import NO_MONEY


@dataclass(frozen=True)
class TaxedAmount:
    """An amount before sales tax, and the part of it that is taxed."""

    amount: Decimal = NO_MONEY
    taxable: Decimal = NO_MONEY


@dataclass(frozen=True)
class DocumentAmounts:
    """The amounts of a signed estimate with its options, or of a signed change.

    `by_the_hour` is work billed by hours and receipts: its limit or, once it is settled, what it came to.
    `signed_tax` is the sales tax as signed, `tax` that with the work by the hour settled.
    """

    fixed: TaxedAmount
    limit: TaxedAmount
    by_the_hour: TaxedAmount
    signed_tax: Decimal
    tax: Decimal

    @property
    def settlement(self) -> Settlement | None:
        """What the settling of the work by the hour moved; None where it moved nothing."""
        if self.by_the_hour == self.limit:
            return None
        return Settlement(self.limit.amount, self.by_the_hour.amount, self.tax - self.signed_tax)


def document_amounts(document: SignedBasis, settled: TaxedAmount | None = None) -> DocumentAmounts:
    """Return the amounts of a signed document; `settled` is what its work by the hour came to."""
    basis = document.basis
    policy, rate = basis["policy"]["tax_policy"], Fraction(basis["policy"]["tax_rate"])
    options = [basis["options"][position] for position in sorted(document.options_chosen)]
    limited = [line for line in basis["lines"] if line["kind"] == "at_most"]
    limit = TaxedAmount(_sum(limited, "price"), _taxable(policy, limited))
    fixed = TaxedAmount(
        Decimal(basis["subtotal"]) - limit.amount + _sum(options, "price"),
        Decimal(basis["tax_base"]) - limit.taxable + _taxable(policy, options),
    )
    by_the_hour = settled if settled and limited else limit
    return DocumentAmounts(
        fixed,
        limit,
        by_the_hour,
        round_cents(Fraction(fixed.taxable + limit.taxable) * rate),
        round_cents(Fraction(fixed.taxable + by_the_hour.taxable) * rate),
    )


def goes_by_the_hour(document: SignedBasis) -> bool:
    """Return whether a part of a signed document is billed by hours and receipts."""
    return any(line["kind"] == "at_most" for line in document.basis["lines"])


def _taxable(policy: str, lines: Iterable[Mapping[str, Any]]) -> Decimal:
    """Return what is taxed of lines of a basis under a tax policy."""
    key = {"materials": "taxable", "everything": "price"}.get(policy)
    return _sum(lines, key) if key else NO_MONEY


def _sum(lines: Iterable[Mapping[str, Any]], key: str) -> Decimal:
    return sum((Decimal(line[key]) for line in lines), NO_MONEY)
