"""What a lien waiver may say: the conditions are those of the forms in California's Civil Code 8132 to 8138.

A conditional waiver waits for a payment, an unconditional one is for money that came; a final one for the
last payment of the job.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from invoicing.billing.lien_waiver import (
    PLACES,
    CannotWaive,
    WaivableMoney,
    WaiverKind,
    fill_places,
    unknown_place,
    waived_amount,
    waiver_words,
)

CENTS = st.decimals("0", "99999", places=2)
VALUES = {
    "firm": "Tolliver Room & Tile",
    "client": "Hale Whitlock",
    "job": "Laundry room",
    "address": "9 Quarry Road",
    "amount": "$500.00",
    "invoice": "invoice INV-1009",
    "through": "Mon 2 Mar 2026",
    "exceptions": "change 3, $420.00",
}


def money(open_: str = "0", paid: str = "0", left: str = "0") -> WaivableMoney:
    """One invoice that is the whole job."""
    return WaivableMoney(Decimal(open_), Decimal(paid), Decimal(open_), Decimal(paid), Decimal(left))


@pytest.mark.parametrize(
    ("kind", "at", "amount"),
    [
        (WaiverKind.CONDITIONAL_PROGRESS, money(open_="500", paid="100", left="900"), "500"),
        (WaiverKind.UNCONDITIONAL_PROGRESS, money(open_="500", paid="100", left="900"), "100"),
        (WaiverKind.CONDITIONAL_FINAL, money(open_="500", paid="100"), "500"),
        (WaiverKind.UNCONDITIONAL_FINAL, money(paid="600"), "600"),
    ],
)
def test_a_waiver_goes_with_the_money_that_it_waits_for_or_that_came(
    kind: WaiverKind, at: WaivableMoney, amount: str
) -> None:
    assert waived_amount(kind, at) == Decimal(amount)


@pytest.mark.parametrize(
    ("kind", "at", "sentence"),
    [
        (WaiverKind.CONDITIONAL_PROGRESS, money(paid="500"), "choose an unconditional one"),
        (WaiverKind.UNCONDITIONAL_PROGRESS, money(open_="500"), "No payment is entered"),
        (
            WaiverKind.CONDITIONAL_FINAL,
            money(open_="500", left="900"),
            "$900.00 of the contract isn't billed yet",
        ),
        (WaiverKind.UNCONDITIONAL_FINAL, money(paid="500", left="0.01"), "$0.01 of the contract"),
        (WaiverKind.UNCONDITIONAL_FINAL, money(open_="500", paid="100"), "$500.00 is still open"),
    ],
)
def test_a_waiver_that_would_say_what_is_not_so_is_refused(
    kind: WaiverKind, at: WaivableMoney, sentence: str
) -> None:
    with pytest.raises(CannotWaive) as refused:
        waived_amount(kind, at)
    assert sentence in str(refused.value)


def test_a_final_waiver_is_of_the_whole_job_and_a_progress_waiver_of_its_invoice() -> None:
    at = WaivableMoney(
        Decimal(5), Decimal(1), job_open=Decimal(50), job_paid=Decimal(10), left_to_bill=Decimal(0)
    )
    amounts = [
        waived_amount(kind, at) for kind in (WaiverKind.CONDITIONAL_PROGRESS, WaiverKind.CONDITIONAL_FINAL)
    ]
    assert amounts == [Decimal(5), Decimal(50)]


@given(st.sampled_from(WaiverKind), CENTS, CENTS, CENTS)
def test_an_unconditional_waiver_never_names_more_than_came(
    kind: WaiverKind, still_open: Decimal, paid: Decimal, left: Decimal
) -> None:
    at = money(f"{still_open}", f"{paid}", f"{left}")
    try:
        amount = waived_amount(kind, at)
    except CannotWaive:
        return
    assert Decimal(0) < amount == (still_open if kind.is_conditional else paid)


@pytest.mark.parametrize("kind", WaiverKind)
def test_only_a_conditional_waiver_waits_and_only_a_progress_waiver_keeps_later_work(
    kind: WaiverKind,
) -> None:
    words = " ".join(waiver_words(kind, VALUES))
    assert ("Until then it gives up nothing." in words) == kind.is_conditional
    assert ("work after Mon 2 Mar 2026" in words) != kind.is_final
    assert "Not given up:" in words
    assert "change 3, $420.00" in words


def test_a_state_s_words_are_filled_in_and_a_place_that_is_none_is_named() -> None:
    text = "{firm} waives {amount}. " + " ".join(f"{{{place}}}" for place in PLACES)
    assert unknown_place(text) == ""
    assert fill_places(text, VALUES).startswith("Tolliver Room & Tile waives $500.00. ")
    assert unknown_place("Paid by {owner}") == "{owner}"
