from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.rates import UnreadableRate, format_rate, parse_rate
from catalog.measures.units import UnfitUnits


@pytest.mark.parametrize(
    ("typed", "of", "per", "per_unit"),
    [
        ("350 sq ft per gallon", "gal", "sq ft", "1/350"),
        ("350 sq ft/gal", "gal", "sq ft", "1/350"),
        ("350 sq ft a gallon", "gal", "sq ft", "1/350"),
        ("1/350 gal per sq ft", "gal", "sq ft", "1/350"),
        ("9 hours per 1000 sq ft", "hour", "sq ft", "9/1000"),
        ("33 h per 1,000 sq ft", "hour", "sq ft", "33/1000"),
        ("0.9 hours a hundred square feet", "hour", "sq ft", "9/1000"),
        ("0.9 h/100 sf", "hour", "sq ft", "9/1000"),
        ("150 sq ft per hour", "hour", "sq ft", "1/150"),
        ("1 each 8 in", "each", "ft", "3/2"),
        ("one each 8 in", "each", "ft", "3/2"),
        ("1 screw each 8 in", "each", "ft", "3/2"),
        ('1 each 8"', "each", "ft", "3/2"),
        ("1 each every 16 in", "each", "ft", "3/4"),
        ("0.05 lb per sq ft", "lb", "sq ft", "1/20"),
        ("90 sq ft per 50 lb", "lb", "sq ft", "5/9"),
        ("1.05 sq ft per sq ft", "sq ft", "sq ft", "21/20"),
        ("1.1 ft per ft", "ft", "ft", "11/10"),
        ("2 per room", "each", "each", "2"),
        ("2 each per each", "each", "each", "2"),
        ("1-1/2 each per ft", "each", "ft", "3/2"),
        ("1\N{VULGAR FRACTION ONE HALF} each per ft", "each", "ft", "3/2"),
        ("0.75 h each", "hour", "each", "3/4"),
        ("12 min each", "hour", "each", "1/5"),
        ("1 lb per square", "lb", "sq ft", "1/100"),
        ("1 qt per 100 sq ft", "gal", "sq ft", "1/400"),
        ("2 dozen per room", "each", "each", "24"),
        ("10 m\N{SUPERSCRIPT TWO}/L", "L", "m2", "1/10"),
        ("1 tube per 30 lf", "each", "ft", "1/30"),
        ("1 box/600 sq ft", "each", "sq ft", "1/600"),
    ],
)
def test_a_rate_is_read_as_the_trade_states_it(typed: str, of: str, per: str, per_unit: str) -> None:
    rate = parse_rate(typed, of, per)
    assert rate.per_unit == Fraction(per_unit)
    assert rate.typed == typed


def test_drywall_at_33_man_hours_a_thousand_square_feet_takes_528_hours_for_16_000() -> None:
    # NAVEDTRA 14045, Builder Advanced, p. 2-27.
    rate = parse_rate("33 MH per 1,000 SF", "hour", "sq ft")
    assert rate.per_unit * 16_000 == 528


def test_a_first_coat_at_150_and_a_second_at_90_square_feet_an_hour() -> None:
    # I. S. Griffith, Carpentry (1916): 450 sq ft take 3 h and then 5 h.
    first, second = (parse_rate(f"{speed} SF per hour", "hour", "sq ft") for speed in (150, 90))
    assert (first.per_unit * 450, second.per_unit * 450) == (3, 5)


@pytest.mark.parametrize(
    ("typed", "of", "per", "message"),
    [
        ("350 sq ft per hour", "gal", "sq ft", "ties sq ft to hour, but gal and sq ft are wanted here"),
        ("2 lb per gal", "gal", "sq ft", "ties lb to gal"),
        ("0.75 each", "hour", "each", "ties each to each, but hour and each"),
        ("1 gal per room", "gal", "sq ft", "ties gal to each"),
    ],
)
def test_units_that_do_not_fit_are_named_with_an_example_that_does(
    typed: str, of: str, per: str, message: str
) -> None:
    with pytest.raises(UnfitUnits) as refusal:
        parse_rate(typed, of, per)
    sentence = str(refusal.value)
    assert message in sentence
    example = sentence.rpartition("such as ")[2].rstrip(".")
    assert parse_rate(example, of, per).per_unit > 0


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        ("", "Type a rate"),
        ("350", "nothing per something"),
        ("per", "nothing per something"),
        ("sq ft per gal", "no number"),
        ("0 sq ft per gal", "zero"),
        ("350 sq ft per 0 gal", "zero"),
        ("1/0 gal per sq ft", "zero"),
        ("-350 sq ft per gal", "can't be negative"),
        ("350 sq ft per -1 gal", "can't be negative"),
        ("350 sq ft per galon", "galon isn't a unit"),
        ("3,50 sq ft per gal", "can't be read"),
        ("nan sq ft per gal", "no number"),
        ("1e9 sq ft per gal", "isn't a unit"),
        ("9" * 12 + " sq ft per gal", "too long a number"),
        ("9" * 10_000, "100 characters at most"),
    ],
)
def test_what_is_not_a_rate_gets_a_plain_sentence(typed: str, message: str) -> None:
    with pytest.raises(UnreadableRate) as refusal:
        parse_rate(typed, "gal", "sq ft")
    assert message in str(refusal.value)
    assert len(str(refusal.value)) < 220


WORDS_OF_RATES = ("1", "0", "350", "1/0", "1,000", "each", "per", "/", "a", "in", "sq ft", "hundred", "-", "")


@given(st.one_of(st.lists(st.sampled_from(WORDS_OF_RATES), max_size=8).map(" ".join), st.text(max_size=40)))
def test_any_text_is_a_rate_above_zero_or_is_refused(typed: str) -> None:
    try:
        rate = parse_rate(typed, "each", "ft")
    except (UnreadableRate, UnfitUnits):
        return
    assert rate.per_unit > 0


@pytest.mark.parametrize(
    ("per_unit", "of", "per", "words"),
    [
        ("1/350", "gal", "sq ft", "350 sq ft per gal"),
        ("33/1000", "hour", "sq ft", "3.3 hours per 100 sq ft"),
        ("9/10000", "hour", "sq ft", "0.9 hours per 1,000 sq ft"),
        ("3/4", "hour", "each", "0.75 hours per each"),
        ("1", "hour", "each", "1 hour per each"),
        ("1/150", "hour", "sq ft", "1 hour per 150 sq ft"),
        ("21/20", "sq ft", "sq ft", "1.05 sq ft per sq ft"),
        ("3/2", "each", "ft", "1.5 each per ft"),
        ("22/7", "lb", "sq ft", "22/7 lb per sq ft"),
    ],
)
def test_a_rate_known_by_number_alone_gets_words(per_unit: str, of: str, per: str, words: str) -> None:
    assert format_rate(Fraction(per_unit), of, per) == words


@given(
    st.fractions(min_value=Fraction(1, 10_000), max_value=10_000, max_denominator=10_000),
    st.sampled_from([("gal", "sq ft"), ("hour", "sq ft"), ("each", "ft"), ("ft", "ft"), ("each", "each")]),
)
def test_the_words_of_a_rate_read_back_exactly(per_unit: Fraction, units: tuple[str, str]) -> None:
    assert parse_rate(format_rate(per_unit, *units), *units).per_unit == per_unit
