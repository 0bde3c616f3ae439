"""Cautions about what is asked for and when: deposits, bills ahead of the work, retainage.

A caution is a sentence with its citation and a call to check. It never changes a number.
"""

from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from fractions import Fraction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price
from invoicing.milestones.deposit_rules import (
    READ_ON,
    THIRD,
    DepositRule,
    SpecialOrder,
    deposit_cap,
    down_to_cents,
)
from invoicing.milestones.plan import NO_MONEY

CHECK = "Check your local law."

# Retention on private works in California: Civil Code 8811 (Senate Bill 61, chapter 49 of 2025), read at
# porterlaw.com. Small residential work is carved out (from memory: residential, up to four stories).
RETENTION_SHARE = Fraction(1, 20)
RETENTION_CITATION = "Civil Code 8811"
RETENTION_FROM = date(2026, 1, 1)


@dataclass(frozen=True)
class BillingCaution:
    """A sentence with its citation; `at_most` is the amount that the rule allows, where it sets one."""

    text: str
    citation: str
    read_on: date
    url: str = ""
    at_most: Decimal | None = None


def deposit_cautions(
    rule: DepositRule,
    contract_sum: Decimal,
    deposit: Decimal,
    special_order: Decimal = NO_MONEY,
    signed: bool = True,
    tax: Decimal = NO_MONEY,
) -> tuple[BillingCaution, ...]:
    """Return what a state's rule says of asking for this deposit, before or after signing.

    `contract_sum` includes sales tax; `tax` is the sales tax that is asked for with the deposit.
    """
    cautions = []
    cap = deposit_cap(rule, contract_sum, special_order)
    if cap is not None and deposit + tax > cap:
        with_tax = f" with {format_price(tax)} sales tax" if tax else ""
        text = (
            f"{rule.name}: a deposit of {format_price(deposit)}{with_tax} is above {format_price(cap)}, "
            f"{_cap_in_words(rule)}"
        )
        cautions.append(_caution(rule, text, at_most=cap))
    if deposit and rule.nothing_before_signing and not signed:
        cautions.append(_caution(rule, f"{rule.name}: nothing is asked for before signing", at_most=NO_MONEY))
    if deposit and rule.trust_days:
        text = (
            f"{rule.name}: the client's money goes to a trust account within {rule.trust_days} business days"
        )
        cautions.append(_caution(rule, text))
    return tuple(cautions)


def front_loading_caution(
    rule: DepositRule | None, billed_before: Decimal, this_bill: Decimal, earned: Decimal
) -> BillingCaution | None:
    """Return the caution where a bill runs ahead of the work; None where it doesn't.

    Amounts leave out the deposit, which California excepts. `earned` is the value of the work done and of
    the material delivered. Without a state's rule, the caution is given as common practice.
    """
    if billed_before + this_bill <= earned:
        return None
    at_most = max(earned - billed_before, NO_MONEY)
    facts = (
        f"{'With this bill ' if this_bill else ''}{format_price(billed_before + this_bill)} is asked for "
        f"against {format_price(earned)} of work done: bill at most {format_price(at_most)} now"
    )
    if rule is None or not rule.not_ahead_of_work:
        return BillingCaution(f"{facts}. {CHECK}", "common practice", READ_ON, at_most=at_most)
    text = f"{rule.name}: {facts} ({rule.not_ahead_of_work}; {_read_in_words(rule)}). {CHECK}"
    return BillingCaution(text, rule.not_ahead_of_work, rule.read_on, rule.url, at_most)


def retention_caution(state: str, signed_on: date, payment: Decimal) -> BillingCaution | None:
    """Return the most that California lets be held back from a payment, 5 %, rounded down to the cent.

    None for other states, and for contracts signed before 2026.
    """
    if state != "CA" or signed_on < RETENTION_FROM:
        return None
    at_most = down_to_cents(RETENTION_SHARE * Fraction(payment))
    text = (
        f"California: at most {format_price(at_most)} (5 %) is held from a payment of "
        f"{format_price(payment)}, and 5 % of the contract in all ({RETENTION_CITATION}, read {READ_ON}); "
        f"small residential work is likely outside this rule. {CHECK}"
    )
    return BillingCaution(text, RETENTION_CITATION, READ_ON, at_most=at_most)


def _cap_in_words(rule: DepositRule) -> str:
    share = "a third" if rule.share == THIRD else format_percent(rule.share or Fraction(0))
    if rule.ceiling is not None:
        return f"the lesser of {format_price(rule.ceiling)} and {share} of the contract"
    return {
        SpecialOrder.NO: f"{share} of the contract",
        SpecialOrder.GREATER: f"the greater of {share} of the contract and material on special order",
        SpecialOrder.ADDED: f"{share} of the contract and material on special order",
    }[rule.special_order]


def _caution(rule: DepositRule, text: str, at_most: Decimal | None = None) -> BillingCaution:
    """Return the caution with its citation and the call to check."""
    sentence = f"{text} ({rule.citation}; {_read_in_words(rule)}). {CHECK}"
    return BillingCaution(sentence, rule.citation, rule.read_on, rule.url, at_most)


def _read_in_words(rule: DepositRule) -> str:
    """Return where the rule comes from and when: "read 2026-11-25", "as told by others 2026-11-25"."""
    return f"{'read' if rule.read_in == 'the text' else 'as told by others'} {rule.read_on}"
