"""What a price is made of."""

from decimal import Decimal

from estimating.pricing.price_parts import PriceParts, price_parts
from tests.estimating.plain_kitchen import kitchen


def test_the_parts_of_a_price_sum_to_it() -> None:
    draft = kitchen()
    parts = price_parts(draft.priced, draft.policy)
    assert parts.labor > 0
    assert parts.material > 0
    assert parts.labor + parts.material + parts.other == draft.priced.total


def test_shares_fill_the_drawing_and_nothing_priced_draws_nothing() -> None:
    shares = PriceParts(Decimal("50.00"), Decimal("30.05"), Decimal("19.95")).shares
    assert shares == (Decimal("50.0"), Decimal("30.0"), Decimal("20.0"))
    assert PriceParts(Decimal(0), Decimal(0), Decimal(0)).shares == (0, 0, 0)
