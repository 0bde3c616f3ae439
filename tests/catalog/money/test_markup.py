from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.markup import Markup, UnreadableMarkup, markup_in_words, parse_markup

HUNDREDTHS = st.decimals(min_value=-50, max_value=90, places=2)


# margin = markup / (1 + markup): algebra, printed to four decimals in contractor-finance tables.
@pytest.mark.parametrize(
    ("markup", "margin"),
    [
        (10, "9.0909"),
        (15, "13.0435"),
        (20, "16.6667"),
        (25, "20.0000"),
        (30, "23.0769"),
        (35, "25.9259"),
        (40, "28.5714"),
        (50, "33.3333"),
        (75, "42.8571"),
        (100, "50.0000"),
        (67, "40.1198"),
    ],
)
def test_a_markup_keeps_a_smaller_margin(markup: int, margin: str) -> None:
    kept = Markup(Decimal(markup)).margin * 100
    assert abs(kept - Fraction(margin)) <= Fraction(1, 20_000)


@pytest.mark.parametrize(
    ("margin", "markup"),
    [
        (10, "11.1111"),
        (15, "17.6471"),
        (20, "25.0000"),
        (25, "33.3333"),
        (30, "42.8571"),
        (35, "53.8462"),
        (40, "66.6667"),
        (50, "100.0000"),
    ],
)
def test_a_margin_asks_for_a_larger_markup(margin: int, markup: str) -> None:
    added = Markup(Decimal(margin), "margin").share * 100
    assert abs(added - Fraction(markup)) <= Fraction(1, 20_000)


def test_twenty_percent_on_80_000_is_96_000_as_markup_and_100_000_as_margin() -> None:
    cost = Fraction(80_000)
    assert Markup(Decimal(20)).on(cost) == 96_000
    assert Markup(Decimal(20), "margin").on(cost) == 100_000


@given(HUNDREDTHS)
def test_price_less_cost_over_price_is_the_margin(percent: Decimal) -> None:
    markup = Markup(percent, "margin")
    price = markup.on(Fraction(7))
    assert (price - 7) / price == markup.margin == Fraction(percent) / 100


@pytest.mark.parametrize(
    ("markup", "words"),
    [
        (Markup(Decimal(20)), "20% markup = 16.67% margin"),
        (Markup(Decimal("12.5"), "margin"), "12.5% margin = 14.29% markup"),
        (Markup(Decimal(0)), "0% markup = 0% margin"),
        (Markup(Decimal(-10)), "-10% markup = -11.11% margin"),
        (Markup(Decimal("100.00")), "100% markup = 50% margin"),
    ],
)
def test_both_ways_to_say_it_are_shown(markup: Markup, words: str) -> None:
    assert markup.in_words() == words


@pytest.mark.parametrize(
    ("typed", "markup"),
    [
        ("20%", Markup(Decimal(20))),
        ("20", Markup(Decimal(20))),
        ("12.5 % margin", Markup(Decimal("12.5"), "margin")),
        (" 35% Markup ", Markup(Decimal(35))),
        ("-5", Markup(Decimal(-5))),
        ("12.5 margin", Markup(Decimal("12.5"), "margin")),
    ],
)
def test_a_markup_is_read_as_typed(typed: str, markup: Markup) -> None:
    assert parse_markup(typed) == markup


def test_a_number_alone_is_what_the_field_asks_for() -> None:
    assert parse_markup("20%", typed_as="margin") == Markup(Decimal(20), "margin")


@given(HUNDREDTHS, st.sampled_from(["markup", "margin"]))
def test_the_stored_form_reads_back(percent: Decimal, typed_as: str) -> None:
    assert parse_markup(str(Markup(percent, typed_as))) == Markup(percent, typed_as)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Type a percentage"),
        ("lots", "isn't a percentage"),
        ("1e3", "isn't a percentage"),
        ("nan", "isn't a percentage"),
        ("-100%", "gives the work away"),
        ("-250 markup", "gives the work away"),
        ("100% margin", "below 100%"),
        ("150 margin", "below 100%"),
        ("99.9999 margin", "10,000%"),
        ("10001", "10,000%"),
        ("9" * 10_000, "isn't a percentage"),
    ],
)
def test_what_no_price_can_be_made_from_gets_a_plain_sentence(typed: str, message: str) -> None:
    with pytest.raises(UnreadableMarkup, match=message):
        parse_markup(typed)


def test_a_share_is_of_cost_or_of_price_and_of_nothing_else() -> None:
    with pytest.raises(UnreadableMarkup, match="neither markup nor margin"):
        Markup(Decimal(20), "profit")


def test_a_markup_reads_with_the_margin_it_equals() -> None:
    assert markup_in_words("25") == "25% markup = 20% margin"
    assert markup_in_words("20 margin") == "20% margin = 25% markup"
    assert "gives the work away" in markup_in_words("-100")


@pytest.mark.parametrize("typed", ["", "   "])
def test_no_markup_typed_reads_as_nothing(typed: str) -> None:
    assert markup_in_words(typed) == ""


def test_half_of_a_hundredth_is_rounded_up_in_words() -> None:
    assert markup_in_words("74.4% margin") == "74.4% margin = 290.63% markup"  # 290.625
