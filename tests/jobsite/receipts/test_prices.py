"""New prices that a line of a receipt shows."""

from datetime import date
from decimal import Decimal

from jobsite.receipts.prices import PriceOffer, price_offer

AUGUST, NOVEMBER = date(2026, 8, 3), date(2026, 11, 24)


def offer(amount: str, quantity: str = "1", was_on: date | None = AUGUST) -> PriceOffer | None:
    return price_offer("Thinset, bag", Decimal("21.40"), was_on, Decimal(amount), Decimal(quantity), NOVEMBER)


def test_a_dearer_package_is_offered_with_both_days() -> None:
    found = offer("46.30", "2")
    assert found is not None
    assert found.in_words() == "Thinset, bag was $21.40 on Mon 3 Aug 2026, now $23.15"
    assert found.now_on == NOVEMBER


def test_the_same_price_a_return_and_an_old_receipt_offer_nothing() -> None:
    assert offer("42.80", "2") is None
    assert offer("-23.15") is None
    assert offer("23.15", was_on=date(2026, 12, 1)) is None


def test_a_price_whose_day_is_not_known_is_offered_without_it() -> None:
    found = offer("23.15", was_on=None)
    assert found is not None
    assert found.in_words() == "Thinset, bag was $21.40, now $23.15"
