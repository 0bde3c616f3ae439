"""Plain numbers, as they are typed into any field."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.core.exceptions import ValidationError

from catalog.fields.form import AmountField, CountField, HoursField, NumberField


@pytest.mark.parametrize(
    ("typed", "number"),
    [("1,250", "1250"), ("12,345.5", "12345.5"), ("8.25 %", "8.25"), (".5", "0.5"), ("7.", "7")],
)
def test_a_number_may_part_its_thousands_and_name_its_percent(typed: str, number: str) -> None:
    assert NumberField().clean(typed) == Decimal(number)


@pytest.mark.parametrize(("typed", "meant"), [("6,5", "6.5"), ("12,50", "12.50"), ("1250,5", "1250.5")])
def test_a_comma_for_a_point_is_asked_about_and_never_dropped(typed: str, meant: str) -> None:
    with pytest.raises(ValidationError, match=f"a decimal takes a point: {meant}"):
        NumberField().clean(typed)
    with pytest.raises(ValidationError, match=f"a decimal takes a point: {meant}"):
        AmountField(unit="sq ft", metric=True).clean(typed)


@pytest.mark.parametrize("typed", ["abc", "1e5", "NaN", "1_000", "8%25", "12 5", "--2", "."])
def test_what_is_no_number_is_named(typed: str) -> None:
    with pytest.raises(ValidationError, match="isn't a number"):
        NumberField().clean(typed)


@pytest.mark.parametrize("typed", ["2,5", "2.5", "-1", "two", ""])
def test_a_count_is_a_whole_number(typed: str) -> None:
    with pytest.raises(ValidationError):
        CountField().clean(typed)


@pytest.mark.parametrize("typed", ["3 1/2", "1/0", "-2/3"])
def test_an_amount_that_is_a_fraction_is_named_whole(typed: str) -> None:
    with pytest.raises(ValidationError, match=f"“{typed}” isn't a number"):
        AmountField(unit="each").clean(typed)


def test_an_amount_keeps_its_unit() -> None:
    assert AmountField(unit="sq ft").clean("1,250 sq ft") == Fraction(1250)


@pytest.mark.parametrize(
    ("typed", "hours"),
    [("1:15", "1.25"), (" 0:20 ", "0.33"), ("12:00", "12.00"), ("1.5", "1.5"), ("1:5", "1.08")],
)
def test_hours_are_typed_by_the_clock_or_as_a_number(typed: str, hours: str) -> None:
    assert HoursField(places=2).clean(typed) == Decimal(hours)


@pytest.mark.parametrize(
    ("typed", "says"),
    [("1:75", "more than 59 minutes"), ("1:15:30", "isn’t a number"), ("99999:00", "out of range")],
)
def test_what_is_no_time_is_refused_in_plain_words(typed: str, says: str) -> None:
    with pytest.raises(ValidationError, match=says.replace("’", ".")):
        HoursField(places=2, most=Decimal(1000)).clean(typed)
