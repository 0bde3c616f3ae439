"""The rules that some states set for deposits on home improvement, with the cap on a deposit.

Each rule has its citation, where it was read and on which day. Statutes change, and a state that isn't
here may have a rule too, so what is printed of them ends with a call to check (`billing_cautions`).
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction

from invoicing.milestones.plan import NO_MONEY

READ_ON = date(2026, 11, 25)


class SpecialOrder(StrEnum):
    """What materials that are specially ordered in advance do to the cap."""

    NO = "no"
    GREATER = "greater"  # the cap is the greater of the share and their cost
    ADDED = "added"  # the cap is the share and their cost


@dataclass(frozen=True)
class DepositRule:
    """The rules of one state for deposits, and for bills that run ahead of the work."""

    state: str
    name: str
    citation: str
    url: str
    share: Fraction | None = None  # of the contract sum; None: no cap that we know of
    ceiling: Decimal | None = None  # the cap is the lesser of it and the share
    special_order: SpecialOrder = SpecialOrder.NO
    applies_above: Decimal = NO_MONEY  # contracts up to this sum aren't bound by the cap
    nothing_before_signing: bool = False
    not_ahead_of_work: str = ""  # the citation, where bills may not run ahead of the work
    trust_days: int = 0  # business days within which a client's money goes to a trust account
    notes: tuple[str, ...] = ()
    read_in: str = "the text"  # of the law, or "another's account" of it
    read_on: date = READ_ON


THIRD = Fraction(1, 3)

DEPOSIT_RULES: Mapping[str, DepositRule] = {
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
            applies_above=Decimal("1000.00"),
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
            applies_above=Decimal("3000.00"),
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
            applies_above=Decimal("5000.00"),
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


def deposit_cap(
    rule: DepositRule, contract_sum: Decimal, special_order: Decimal = NO_MONEY
) -> Decimal | None:
    """Return the most that may be asked for before the work, rounded down to the cent.

    `special_order` is the cost of material that is specially ordered in advance. None where no cap is
    known.
    """
    if rule.share is None or contract_sum <= rule.applies_above:
        return None
    cap = rule.share * Fraction(contract_sum)
    if rule.ceiling is not None:
        cap = min(cap, Fraction(rule.ceiling))
    if rule.special_order == SpecialOrder.GREATER:
        cap = max(cap, Fraction(special_order))
    if rule.special_order == SpecialOrder.ADDED:
        cap += Fraction(special_order)
    return down_to_cents(cap)


def down_to_cents(amount: Fraction) -> Decimal:
    """Return an amount rounded down to the cent, as a limit set by law is."""
    return Decimal(amount.numerator * 100 // amount.denominator).scaleb(-2)
