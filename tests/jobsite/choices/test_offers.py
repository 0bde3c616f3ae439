"""What an offer does to the price: cabinets with $6,400.00 in the contract, at cost, its tax covered.

By hand, with 6.5 % tax at the store and 20 % on what a change buys: cabinets for $6,500.00 cost $106.50 more
with their tax, and $21.30 on it, in all $127.80.
"""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from jobsite.choices.offers import Offer, PricedOffer, as_shown, priced
from tests.estimating.changes.test_price import allowance, choice, rules, total


def offered(cost: str | None) -> PricedOffer:
    (row,) = priced([Offer(1, "Oak", cost=Decimal(cost) if cost else None)], allowance(), rules())
    return row


@pytest.mark.parametrize(
    ("cost", "words"),
    [
        ("6500.00", "adds $127.80"),
        ("6400.00", "is in the price"),
        ("6300.00", "takes off $127.80"),
        (None, "is in the price"),
    ],
)
def test_an_offer_says_what_it_does_to_the_price(cost: str | None, words: str) -> None:
    assert offered(cost).in_words == words


@given(st.decimals("0", "20000", places=2))
def test_an_offer_promises_what_its_change_order_asks(cost: Decimal) -> None:
    assert offered(f"{cost}").difference == total(rules(), choice(f"{cost}"))


def test_without_an_allowance_nothing_moves_the_price() -> None:
    (color,) = priced([Offer(1, "Chalk white")], None, rules())
    assert as_shown("Wall color", [color]) == ["Wall color", "Chalk white: is in the price"]
