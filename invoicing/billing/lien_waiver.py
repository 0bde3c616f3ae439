"""What a lien waiver may give up, and in which words.

A waiver is conditional, and takes effect once a payment has come and cleared, or unconditional, for money
that came. It goes with a progress payment or with the final one. That a conditional one is safe to hand over
before payment and an unconditional one is not is what the contractors' board of California tells its
licensees of the forms of Civil Code sections 8132 to 8138 (read in guides that quote it; the section of
Texas that pages name is from memory). Several states prescribe the words: a firm enters those of its own
with their citation, and none is made up here.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from catalog.money.amounts import format_price


class WaiverKind(StrEnum):
    """The four waivers that are told apart."""

    CONDITIONAL_PROGRESS = "conditional_progress"
    UNCONDITIONAL_PROGRESS = "unconditional_progress"
    CONDITIONAL_FINAL = "conditional_final"
    UNCONDITIONAL_FINAL = "unconditional_final"

    @property
    def is_conditional(self) -> bool:
        return self in (WaiverKind.CONDITIONAL_PROGRESS, WaiverKind.CONDITIONAL_FINAL)

    @property
    def is_final(self) -> bool:
        return self in (WaiverKind.CONDITIONAL_FINAL, WaiverKind.UNCONDITIONAL_FINAL)

    @property
    def label(self) -> str:
        """Its name, "Conditional waiver on final payment"."""
        first = "Conditional" if self.is_conditional else "Unconditional"
        return f"{first} waiver on {'final' if self.is_final else 'progress'} payment"


class CannotWaive(ValueError):
    """A waiver of this kind can't be given now; the message says why in a plain sentence."""


@dataclass(frozen=True)
class WaivableMoney:
    """An invoice and its job: what is open and paid of each, and what isn't billed yet."""

    invoice_open: Decimal
    invoice_paid: Decimal
    job_open: Decimal
    job_paid: Decimal
    left_to_bill: Decimal


def waived_amount(kind: WaiverKind, money: WaivableMoney) -> Decimal:
    """Return the payment that a waiver goes with: of the invoice, or of the whole job on a final one.

    Raises CannotWaive for one that would say what isn't so: that nothing is left where something is, or that
    money came that didn't.
    """
    if kind.is_final and money.left_to_bill > 0:
        raise CannotWaive(
            f"{format_price(money.left_to_bill)} of the contract isn't billed yet, so this payment isn't the "
            "final one: choose a waiver on a progress payment."
        )
    still_open = money.job_open if kind.is_final else money.invoice_open
    paid = money.job_paid if kind.is_final else money.invoice_paid
    if kind.is_conditional:
        if still_open <= 0:
            raise CannotWaive(
                "Nothing is open, so there is no payment to wait for: choose an unconditional one."
            )
        return still_open
    if paid <= 0:
        raise CannotWaive(
            "No payment is entered: an unconditional waiver is for money that has come and cleared. Choose a "
            "conditional one, or enter the payment first."
        )
    if kind.is_final and still_open:
        raise CannotWaive(
            f"{format_price(still_open)} is still open on the job: give a conditional one until it has come."
        )
    return paid


PLACES = ("firm", "client", "job", "address", "amount", "invoice", "through", "exceptions")
_PLACE = re.compile(r"\{([^{}]*)\}")


def unknown_place(text: str) -> str:
    """Return the first {place} of a text that isn't filled in; empty where all are."""
    return next((place[0] for place in _PLACE.finditer(text) if place[1] not in PLACES), "")


def fill_places(text: str, values: Mapping[str, str]) -> str:
    """Return a text with each {place} filled in; `values` has them all."""
    return _PLACE.sub(lambda place: values[place[1]], text)


_CONDITION = (
    "This waiver takes effect once {firm} has received {amount} {for_what} and the payment has cleared. "
    "Until then it gives up nothing."
)
_RECEIVED = "{firm} has received {amount} {for_what}. This waiver is in effect from the day it is signed."
_GIVES_UP = (
    "With it {firm} gives up the right to a lien on {where}, and any claim against money held for the work "
    "there, for labor and material furnished to {client} {how_far}."
)


def waiver_words(kind: WaiverKind, values: Mapping[str, str]) -> list[str]:
    """Return our own neutral paragraphs of a waiver; `values` are those of PLACES as they are printed."""
    progress = f"through {values['through']}, as far as that payment pays for it"
    more = {
        "for_what": _for_what(kind, values["invoice"]),
        "where": f"the property at {values['address']}" if values["address"] else "the property worked on",
        "how_far": f"on {values['job']}" + ("" if kind.is_final else f", {progress}"),
    }
    first = _CONDITION if kind.is_conditional else _RECEIVED
    words = [text.format_map({**values, **more}) for text in (first, _GIVES_UP)]
    kept = [] if kind.is_final else ["retainage that is held", f"work after {values['through']}"]
    kept += [values["exceptions"]] if values["exceptions"] else []
    return [*words, f"Not given up: {'; '.join(kept)}."] if kept else words


def _for_what(kind: WaiverKind, invoice: str) -> str:
    """Say what the amount is for: the last payment where it is still to come, all of them once they came."""
    if not kind.is_final:
        return f"for {invoice}"
    return "as the final payment for the whole job" if kind.is_conditional else "for the whole job"
