"""What a price is made of."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.markup import Markup
from estimating.pricing.price_parts import PriceParts, price_levels, price_parts
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


def test_a_price_is_compared_with_the_target_and_the_least() -> None:
    priced = replace(kitchen().priced, subtotal=Decimal("110.00"), cost=Decimal("80.00"))
    as_priced, target, least = price_levels(priced, Markup(Decimal(20), "margin"))
    assert (as_priced.left, as_priced.length) == (Decimal("30.00"), Decimal("100.0"))
    assert (target.price, target.margin) == (Decimal("100.00"), Fraction(1, 5))  # 80 / 0.8
    assert (least.price, least.left, least.length) == (Decimal("80.00"), Decimal("0.00"), Decimal("72.7"))
    assert len(price_levels(priced, None)) == 2
    assert price_levels(replace(priced, subtotal=Decimal("0.00"), cost=Decimal("0.00")), None) == []
