"""The client's right to cancel what was signed away from the firm's own place of business, by the federal
rule on a cooling-off period, 16 CFR part 429: whether it applies, to which day, and the notice that says so.

429.0(a) and 429.1(a) were read in the Electronic Code of Federal Regulations as of 2021-02-25
(https://www.ecfr.gov/cgi-bin/text-idx?mc=true&node=pt16.1.429&rgn=div5), 429.1(b) as far as its first lines
there and whole in copies of the form, 429.0(f) in another's quotation, all on 2026-11-25; 429.0(a)(3) on
2026-11-28 in Iowa Code 555A.1(3)(a)(3) and Connecticut General Statutes 42-134a, which repeat its words: of
that page of the Code, and of the amendments in 60 FR 54180 and 78 FR 3855, only what comes before it could be
read. 429.1(c), (f) and (g) are from memory. States have rules of their own, some with more days: check your
local law.
"""

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from typing import Any

from holidays import country_holidays

HOME, ELSEWHERE, OURS = "home", "elsewhere", "ours"

# The least price at which the right applies, 429.0(a).
LEAST = {HOME: Decimal(25), ELSEWHERE: Decimal(130)}
DAYS_TO_CANCEL = 3
DAYS_TO_REFUND = 10

STATEMENT = (
    "You, the buyer, may cancel this transaction at any time prior to midnight of the third business day "
    "after the date of this transaction. See the attached notice of cancellation form for an explanation "
    "of this right."
)
# What 429.0(a)(3) asks before a sale in an emergency is outside the right.
WAIVER_ASKS = (
    "The client called you about it, and not you the client.",
    "It is a real emergency of the client's own that can't wait, such as water running now.",
    "The client writes a statement by hand, on a sheet of its own, and dates and signs it.",
    "The statement describes the situation that must be remedied at once.",
    "It says expressly that the client knows of the right to cancel within three business days and waives "
    "it.",
)
CAPTION = "NOTICE OF CANCELLATION"
NOTICE = (
    "You may CANCEL this transaction, without any Penalty or Obligation, within THREE BUSINESS DAYS from the "
    "above date.",
    "If you cancel, any property traded in, any payments made by you under the contract or sale, and any "
    "negotiable instrument executed by you will be returned within TEN BUSINESS DAYS following receipt by "
    "the seller of your cancellation notice, and any security interest arising out of the transaction will "
    "be cancelled.",
    "If you cancel, you must make available to the seller at your residence, in substantially as good "
    "condition as when received, any goods delivered to you under this contract or sale, or you may, if you "
    "wish, comply with the instructions of the seller regarding the return shipment of the goods at the "
    "seller's expense and risk.",
    "If you do make the goods available to the seller and the seller does not pick them up within 20 days "
    "of the date of your Notice of Cancellation, you may retain or dispose of the goods without any further "
    "obligation. If you fail to make the goods available to the seller, or if you agree to return the goods "
    "to the seller and fail to do so, then you remain liable for performance of all obligations under the "
    "contract.",
)
EMERGENCY = (
    "Its work waits until the client's days to cancel are past. Where the client called you in and it is an "
    "emergency, the client may waive them in a statement of their own handwriting that says what it is, "
    "dated and signed (16 CFR 429.0(a)(3), as state laws repeat it). Check your local law."
)
ADDRESS_MISSING = (
    "It is to be signed where the client may cancel, so the notice of cancellation must name your address: "
    "type it on the Firm page."
)


def may_cancel(place: str, price: Decimal) -> bool:
    """Return whether a document signed at this place for this price can be canceled, 429.0(a)."""
    return place in LEAST and price >= LEAST[place]


def is_business_day(day: date) -> bool:
    """Return whether a day is neither a Sunday nor a federal holiday, 429.0(f); Saturdays count.

    The rule says "any federal holiday" and then names ten as examples; Juneteenth, a federal holiday since
    2021, is left out of the business days with them. So is the day on which a holiday is observed: 429.1(c)
    asks for a day "not earlier than the third business day", so that a later one is never wrong.
    """
    return day.weekday() != 6 and day not in _federal_holidays(day.year)


@cache  # they are worked out in a third of a millisecond, and asked of each day of many papers
def _federal_holidays(year: int) -> frozenset[date]:
    return frozenset(country_holidays("US", years=year))


def business_days_after(day: date, days: int) -> date:
    """Return the day that is this many business days after a day, which itself doesn't count."""
    while days:
        day += timedelta(days=1)
        days -= is_business_day(day)
    return day


def cancel_by(signed_on: date) -> date:
    """Return the day at whose midnight the right to cancel ends, 429.1(a)."""
    return business_days_after(signed_on, DAYS_TO_CANCEL)


def refund_by(canceled_on: date) -> date:
    """Return the last day for paying back what was paid, 429.1(b) and (g)."""
    return business_days_after(canceled_on, DAYS_TO_REFUND)


def estimate_notice(
    place: str, firm: Mapping[str, Any], total: str, options: Sequence[Mapping[str, Any]]
) -> dict[str, Any]:
    """Return what an estimate says of the right to cancel; empty where its price can't reach the least.

    `firm`, `total` and `options` are those of its snapshot; all options are counted as chosen.
    """
    most = Decimal(total) + sum((Decimal(option["price"]) for option in options), Decimal(0))
    return _notice(firm) if may_cancel(place, most) else {}


def change_notice(place: str, firm: Mapping[str, Any], added: Decimal, before: Decimal) -> dict[str, Any]:
    """Return what a change order says of the right to cancel; empty where there is none.

    A change is a sale of its own. What was signed before counts to its price, which is that "under single
    or multiple contracts", 429.0(a). A change that adds nothing sells nothing, whatever it takes out.
    """
    return _notice(firm) if added > 0 and may_cancel(place, added + max(before, Decimal(0))) else {}


def _notice(firm: Mapping[str, Any]) -> dict[str, Any]:
    """Return the notice of cancellation as a part of a snapshot."""
    return {
        "statement": STATEMENT,
        "caption": CAPTION,
        "paragraphs": list(NOTICE),
        "seller": firm["name"],
        "address": ", ".join(firm["address"]),
    }
