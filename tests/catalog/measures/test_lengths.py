from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.measures.lengths import (
    NM_PER_FOOT,
    NM_PER_INCH,
    UnreadableLength,
    feet_from_nm,
    format_length,
    parse_length,
    sqft_from_nm2,
)

TWELVE_SIX_AND_A_HALF = 12 * NM_PER_FOOT + 13 * NM_PER_INCH // 2


@pytest.mark.parametrize(
    "typed",
    [
        "12' 6 1/2\"",
        "12'6-1/2\"",
        "12'-6 1/2\"",
        "12' 6.5\"",
        "12' 6 1/2",
        "12-6 1/2",
        "12-6-1/2",
        '12-6 1/2"',
        '150 1/2"',
        "150.5 in",
        "12\N{RIGHT SINGLE QUOTATION MARK} 6\N{VULGAR FRACTION ONE HALF}\N{RIGHT DOUBLE QUOTATION MARK}",
        "12\N{PRIME} 6 1\N{FRACTION SLASH}2\N{DOUBLE PRIME}",
        "12' 6 1/2''",
        "12 ft 6 1/2 in",
        "12 Feet, 6 1/2 Inches",
        "  12 foot   6 1/2 inch ",
        "12 6 1/2",
        "12\N{NO-BREAK SPACE}ft 6\N{NON-BREAKING HYPHEN}1/2 in",
        "12'6\"1/2",
        "12' 6\" 1/2",
        '150" 1/2',
    ],
)
def test_twelve_six_and_a_half_is_read_however_it_is_written(typed: str) -> None:
    assert parse_length(typed) == TWELVE_SIX_AND_A_HALF


@pytest.mark.parametrize(
    ("typed", "length_nm"),
    [
        ("12.54'", 3_822_192_000),
        ("12", 12 * NM_PER_FOOT),
        ("5 1/2", 11 * NM_PER_FOOT // 2),
        ("1 1/2'", 3 * NM_PER_FOOT // 2),
        ('5-1/2"', 11 * NM_PER_INCH // 2),
        ("\N{VULGAR FRACTION THREE EIGHTHS} in", 3 * NM_PER_INCH // 8),
        ('1/64"', 396_875),
        ("3.82 m", 3_820_000_000),
        ("382 cm", 3_820_000_000),
        ("3820mm", 3_820_000_000),
        ("3,82 m", 3_820_000_000),
        ("0,125 m", 125_000_000),
        ("3m 65", 3_650_000_000),
        ("3 m 65 cm", 3_650_000_000),
        ("3m65", 3_650_000_000),
        ("3 m 650", 3_650_000_000),
        ("2 m 40", 2_400_000_000),
        ("2 m 5 cm", 2_050_000_000),
        ("2 m 5 mm", 2_005_000_000),
        ("2 m 40.5", 2_405_000_000),
        ("3 650 mm", 3_650_000_000),
        ("1 mm", 1_000_000),
        (".5'", NM_PER_FOOT // 2),
        ("11 ft 1 3/4 in", 11 * NM_PER_FOOT + 7 * NM_PER_INCH // 4),
        ("11 1 3/4", 11 * NM_PER_FOOT + 7 * NM_PER_INCH // 4),
        ("1000'", 1000 * NM_PER_FOOT),
    ],
)
def test_a_length_is_kept_exactly(typed: str, length_nm: int) -> None:
    assert parse_length(typed) == length_nm


@pytest.mark.parametrize(
    ("bare", "length_nm"),
    [("ft", 3_048_000_000), ("in", 254_000_000), ("m", 10**10), ("cm", 10**8), ("mm", 10**7)],
)
def test_a_number_alone_takes_the_unit_of_its_field(bare: str, length_nm: int) -> None:
    assert parse_length("10", bare=bare) == length_nm


def test_a_mark_wins_over_the_unit_of_the_field() -> None:
    assert parse_length("10'", bare="m") == 10 * NM_PER_FOOT


def test_what_is_finer_than_a_nanometer_is_rounded_half_up() -> None:
    assert parse_length("1.0000000005 m") == 1_000_000_001
    assert parse_length("1.0000000004 m") == 1_000_000_000


@pytest.mark.parametrize(
    ("typed", "bare", "message"),
    [
        ("", "ft", "Type a length"),
        ("   ", "in", "Type a length"),
        ("twelve feet", "ft", "can't be read"),
        ("about 12'", "ft", "can't be read"),
        ("12' 6\" 3", "ft", "can't be read"),
        ("6\" 12'", "ft", "can't be read"),
        ("5 furlong", "ft", "can't be read"),
        ("1e3", "ft", "can't be read"),
        ("nan", "ft", "can't be read"),
        ("1.2.3", "ft", "can't be read"),
        ("\N{ARABIC-INDIC DIGIT THREE}", "ft", "can't be read"),
        ("<b>12</b>", "ft", "can't be read"),
        ("11 1 3/4", "in", "can't be read"),
        ("12-6", "m", "can't be read"),
        ("-5'", "ft", "can't be negative"),
        ("\N{MINUS SIGN}5", "ft", "can't be negative"),
        ("0", "ft", "zero"),
        ("0' 0\"", "ft", "zero"),
        ("11/4", "in", "11/4 in: 2 3/4 or 1 1/4"),
        ('111/16"', "ft", "111/16 in: 6 15/16 or 1 11/16 or 11 1/16"),
        ('2 5/4"', "ft", "3 1/4"),
        ('1/3"', "ft", 'nearest sixteenth is 5/16"'),
        ('5 7/10"', "ft", 'nearest sixteenth is 5-11/16"'),
        ("1/128 in", "ft", "isn't on a tape"),
        ("1/3'", "ft", 'nearest sixteenth is 4"'),
        ("5 1/3 m", "m", "type 5.333 m"),
        ("1/0", "in", "can't be 0"),
        ("2 m 5", "m", "type 2.05 m or 2.5 m"),
        ("2 m 140 cm", "m", "a meter or more beside 2 m"),
        ("3 650", "m", "can't be read"),
        ("1,234 m", "ft", "type 1.234 m or 1234 m"),
        ("12,5'", "ft", "Leave the comma out"),
        ("5' 13\"", "ft", "is it 6' 1\""),
        ("5' 12\"", "ft", "is it 6' 0\""),
        ("12.5' 6\"", "ft", "whole feet"),
        ("1001'", "ft", "longer than 1,000 ft"),
        ("999999999 mm", "ft", "longer than 1,000 ft"),
        ("1" * 10_000, "ft", "100 characters at most"),
    ],
)
def test_what_is_not_a_length_gets_a_plain_sentence(typed: str, bare: str, message: str) -> None:
    with pytest.raises(UnreadableLength) as refusal:
        parse_length(typed, bare=bare)
    assert message in str(refusal.value)
    assert len(str(refusal.value)) < 200


def test_zero_is_read_where_it_is_allowed() -> None:
    assert parse_length("0", allow_zero=True) == 0


@pytest.mark.parametrize(
    ("length_nm", "feet_and_inches", "meters"),
    [
        (TWELVE_SIX_AND_A_HALF, "12' 6-1/2\"", "3.823 m"),
        (12 * NM_PER_FOOT, "12' 0\"", "3.658 m"),
        (12 * NM_PER_FOOT + NM_PER_INCH // 2, "12' 0-1/2\"", "3.670 m"),
        (NM_PER_INCH // 2, '1/2"', "13 mm"),
        (11 * NM_PER_INCH // 2, '5-1/2"', "0.140 m"),
        (0, '0"', "0.000 m"),
        (NM_PER_INCH // 32, '1/16"', "1 mm"),
        (NM_PER_FOOT - 1, "1' 0\"", "0.305 m"),
        (-NM_PER_FOOT, "-1' 0\"", "-0.305 m"),
    ],
)
def test_a_length_is_shown_as_a_tape_reads(length_nm: int, feet_and_inches: str, meters: str) -> None:
    assert format_length(length_nm) == feet_and_inches
    assert format_length(length_nm, metric=True) == meters


@given(st.integers(1, 1000 * 12 * 16))
def test_every_sixteenth_that_is_shown_reads_back(sixteenths: int) -> None:
    length_nm = sixteenths * NM_PER_INCH // 16
    assert parse_length(format_length(length_nm)) == length_nm


@given(st.integers(1, 300_000))
def test_every_millimeter_that_is_shown_reads_back(millimeters: int) -> None:
    length_nm = millimeters * 1_000_000
    assert parse_length(format_length(length_nm, metric=True)) == length_nm


@given(st.integers(0, 999), st.integers(0, 11), st.integers(1, 63))
def test_feet_inches_and_sixty_fourths_are_exact(feet: int, inches: int, sixty_fourths: int) -> None:
    typed = f"{feet}' {inches} {sixty_fourths}/64\""
    assert parse_length(typed) == feet * NM_PER_FOOT + inches * NM_PER_INCH + sixty_fourths * 396_875


TAPE_TALK = st.text("0123456789 '\"/-.,ftincm\N{VULGAR FRACTION ONE HALF}", max_size=15)


@given(st.one_of(TAPE_TALK, st.text(max_size=30)))
def test_any_text_is_read_within_bounds_or_refused(typed: str) -> None:
    try:
        length_nm = parse_length(typed)
    except UnreadableLength:
        return
    assert 0 < length_nm <= 1000 * NM_PER_FOOT


def test_square_feet_and_feet_come_back_exactly() -> None:
    assert sqft_from_nm2(NM_PER_FOOT * NM_PER_INCH) == Fraction(1, 12)
    assert feet_from_nm(NM_PER_INCH) == Fraction(1, 12)
