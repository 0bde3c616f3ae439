"""What some states say of deposits and of bills ahead of the work: cautions, never a changed number.

Each rule stands with its citation, where it was read and on which day. Statutes change,
and a state that isn't here may have a rule too, so every caution ends with a call to check.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import ROUND_FLOOR, Decimal
from enum import StrEnum
from fractions import Fraction

from catalog.measures.units import format_percent
from catalog.money.amounts import format_price, round_cents
from invoicing.milestones.plan import NO_MONEY

SEEN = date(2026, 11, 25)
CHECK = "Check your local law."


class SpecialOrder(StrEnum):
    """What materials ordered specially in advance do to the cap."""

    NO = "no"
    GREATER = "greater"  # the greater of the share and their cost
    ADDED = "added"  # the share and their cost


@dataclass(frozen=True)
class DepositRule:
    """One state's rules. `share` is of the contract sum; None: no cap that we know of.

    `read_in` is "the text" of the law, or "another's account" of it.
    """

    state: str
    name: str
    citation: str
    address: str
    share: Fraction | None = None
    ceiling: Decimal | None = None  # the lesser of it and the share
    special_order: SpecialOrder = SpecialOrder.NO
    above: Decimal = NO_MONEY  # contracts up to this sum aren't bound by the cap
    nothing_before_signing: bool = False
    not_ahead_of_work: str = ""  # the citation, where bills may not run ahead of the work
    trust_days: int = 0  # business days in which a client's money goes to a trust account
    notes: tuple[str, ...] = ()
    read_in: str = "the text"
    seen: date = SEEN


THIRD = Fraction(1, 3)

RULES: Mapping[str, DepositRule] = {
    rule.state: rule
    for rule in (
        DepositRule(
            "CA",
            "California",
            "Business and Professions Code 7159.5(a)(3)",
            "https://www.ashleybaron.com/2021/deposits-on-home-improvement-contracts/",
            share=Fraction(1, 10),
            ceiling=Decimal("1000.00"),
            not_ahead_of_work="Business and Professions Code 7159.5(a)(5)",
            notes=(
                "The schedule of payments is in dollars and cents, each tied to work or material "
                "(Business and Professions Code 7159.5(a)(4)).",
            ),
        ),
        DepositRule(
            "MA",
            "Massachusetts",
            "General Laws chapter 142A section 2(a)(6)",
            "https://malegislature.gov/Bills/192/S2569.Html",
            share=THIRD,
            special_order=SpecialOrder.GREATER,
            above=Decimal("1000.00"),
            notes=(
                "The final payment is not asked for until the work is completed to both parties' "
                "satisfaction (General Laws chapter 142A section 2(a)(6)).",
            ),
        ),
        DepositRule(
            "ME",
            "Maine",
            "10 M.R.S. 1487(5)",
            "https://mainelegislature.org/legis/statutes/10/title10sec1487.html",
            share=THIRD,
            above=Decimal("3000.00"),
            notes=("The parties may agree to opt out (Attorney General, chapter 17, as told by others).",),
        ),
        DepositRule(
            "MD",
            "Maryland",
            "Business Regulation 8-617",
            "https://law.justia.com/codes/maryland/2005/gbr/8-617.html",
            share=THIRD,
            nothing_before_signing=True,
        ),
        DepositRule(
            "NY",
            "New York",
            "General Business Law article 36-A, sections 770-776, and Lien Law",
            "https://www.appliancedesign.org/home-improvement-fact-sheet-new-york-state-attorney-general.html",
            not_ahead_of_work="General Business Law article 36-A: a schedule of progress payments bears a "
            "reasonable relationship to the work done",
            trust_days=5,
            notes=("A bond within 10 business days can stand in for the trust account.",),
            read_in="another's account",
        ),
        DepositRule(
            "PA",
            "Pennsylvania",
            "73 P.S. 517.9",
            "https://legalclarity.org/how-much-can-a-contractor-ask-for-up-front-in-pa",
            share=THIRD,
            special_order=SpecialOrder.ADDED,
            above=Decimal("5000.00"),
            read_in="another's account",
        ),
        DepositRule(
            "TN",
            "Tennessee",
            "T.C.A. 62-6-510, clause not seen",
            "https://con-tractors.com/which-states-have-a-limit-of-how-much-an-initial-deposit-a-contractor-"
            "can-charge-to-start-working-on-your-home/",
            share=THIRD,
            notes=("There are exceptions, such as for a bonded firm.",),
            read_in="another's account",
        ),
    )
}


@dataclass(frozen=True)
class Caution:
    """A sentence with its citation; `at_most` is the amount that the rule leaves, where it names one."""

    text: str
    citation: str
    seen: date
    address: str = ""
    at_most: Decimal | None = None


def deposit_cap(
    rule: DepositRule, contract_sum: Decimal, special_order: Decimal = NO_MONEY
) -> Decimal | None:
    """The most that may be asked before the work, rounded down to the cent; None where no cap is known.

    `special_order` is the cost of material ordered specially in advance.
    """
    if rule.share is None or contract_sum <= rule.above:
        return None
    cap = rule.share * Fraction(contract_sum)
    if rule.ceiling is not None:
        cap = min(cap, Fraction(rule.ceiling))
    if rule.special_order == SpecialOrder.GREATER:
        cap = max(cap, Fraction(special_order))
    if rule.special_order == SpecialOrder.ADDED:
        cap += Fraction(special_order)
    return _down_to_cents(cap)


def deposit_cautions(
    rule: DepositRule,
    contract_sum: Decimal,
    deposit: Decimal,
    special_order: Decimal = NO_MONEY,
    signed: bool = True,
    tax: Decimal = NO_MONEY,
) -> tuple[Caution, ...]:
    """What the rule says of asking for this deposit, before or after the contract is signed.

    `contract_sum` holds sales tax; `tax` is the sales tax that is asked for with the deposit.
    """
    cautions = []
    cap = deposit_cap(rule, contract_sum, special_order)
    if cap is not None and deposit + tax > cap:
        with_tax = f" with {format_price(tax)} sales tax" if tax else ""
        text = (
            f"{rule.name}: a deposit of {format_price(deposit)}{with_tax} is above {format_price(cap)}, "
            f"{_cap_words(rule)}"
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


@dataclass(frozen=True)
class WorkDone:
    """A work item: its hours or cost (one of them for all items), and whether it is finished."""

    weight: Fraction
    is_finished: bool


def worth_of_work(contract_sum: Decimal, works: Iterable[WorkDone]) -> Decimal:
    """The part of the contract sum that the finished work has earned, by its weight, half-up to the cent.

    Nothing that weighs: nothing is earned.
    """
    all_works = tuple(works)
    whole = sum((work.weight for work in all_works), Fraction(0))
    finished = sum((work.weight for work in all_works if work.is_finished), Fraction(0))
    return round_cents(Fraction(contract_sum) * finished / whole) if whole else NO_MONEY


def front_loading(
    rule: DepositRule | None, billed_before: Decimal, this_bill: Decimal, worth: Decimal
) -> Caution | None:
    """What to say when this bill runs ahead of the work; None while it doesn't.

    Amounts are without the deposit, which California excepts. `worth` is of work done and material
    delivered. Where no state rule is known, it is said as common practice.
    """
    if billed_before + this_bill <= worth:
        return None
    at_most = max(worth - billed_before, NO_MONEY)
    facts = (
        f"{'With this bill ' if this_bill else ''}{format_price(billed_before + this_bill)} is asked for "
        f"against {format_price(worth)} of work done: bill at most {format_price(at_most)} now"
    )
    if rule is None or not rule.not_ahead_of_work:
        return Caution(f"{facts}. {CHECK}", "common practice", SEEN, at_most=at_most)
    text = f"{rule.name}: {facts} ({rule.not_ahead_of_work}; {_read(rule)}). {CHECK}"
    return Caution(text, rule.not_ahead_of_work, rule.seen, rule.address, at_most)


# Retention on private works in California: Civil Code 8811 (Senate Bill 61, chapter 49 of 2025), read at
# porterlaw.com. Small residential work is carved out (from memory: residential, up to four stories).
RETENTION_SHARE = Fraction(1, 20)
RETENTION_CITATION = "Civil Code 8811"
RETENTION_FROM = date(2026, 1, 1)


def retention_cap(state: str, signed_on: date, payment: Decimal) -> Caution | None:
    """The most that California lets be held from a payment, 5 %; None elsewhere or before 2026."""
    if state != "CA" or signed_on < RETENTION_FROM:
        return None
    at_most = _down_to_cents(RETENTION_SHARE * Fraction(payment))
    text = (
        f"California: at most {format_price(at_most)} (5 %) is held from a payment of "
        f"{format_price(payment)}, and 5 % of the contract in all ({RETENTION_CITATION}, read {SEEN}); "
        f"small residential work is likely outside this rule. {CHECK}"
    )
    return Caution(text, RETENTION_CITATION, SEEN, at_most=at_most)


def _cap_words(rule: DepositRule) -> str:
    share = "a third" if rule.share == THIRD else format_percent(rule.share or Fraction(0))
    if rule.ceiling is not None:
        return f"the lesser of {format_price(rule.ceiling)} and {share} of the contract"
    return {
        SpecialOrder.NO: f"{share} of the contract",
        SpecialOrder.GREATER: f"the greater of {share} of the contract and material on special order",
        SpecialOrder.ADDED: f"{share} of the contract and material on special order",
    }[rule.special_order]


def _caution(rule: DepositRule, text: str, at_most: Decimal | None = None) -> Caution:
    says = f"{text} ({rule.citation}; {_read(rule)}). {CHECK}"
    return Caution(says, rule.citation, rule.seen, rule.address, at_most)


def _read(rule: DepositRule) -> str:
    return f"{'read' if rule.read_in == 'the text' else 'as told by others'} {rule.seen}"


def _down_to_cents(amount: Fraction) -> Decimal:
    cents = Decimal(amount.numerator * 100 // amount.denominator)
    return (cents / 100).quantize(Decimal("0.01"), ROUND_FLOOR)
