from catalog.money.price_age import price_age


def test_a_price_is_old_on_the_day_after_the_firm_trusts_it() -> None:
    assert price_age(90, 90) == ""
    assert price_age(91, 90) == "price 91 days old"
    assert price_age(None, 90) == "no date on this price"
