"""Lengths, typed and shown as on a tape measure and stored as whole nanometers.

In nanometers 1/64 in (396,875) and 1 mm (1,000,000) are both exact, so no conversion loses anything and
layouts are worked out in integers.
"""

import re
import unicodedata
from fractions import Fraction
from functools import lru_cache

NM_PER_INCH = 25_400_000
NM_PER_FOOT = 304_800_000
NM_PER_METER = 10**9
SIXTY_FOURTH_NM = NM_PER_INCH // 64
MAX_FEET = 1000
MAX_CHARACTERS = 100


class UnreadableLength(ValueError):
    """The typed length can't be used; the message says in a plain sentence what would be right."""


_SAME_CHARACTERS = str.maketrans(
    {
        **dict.fromkeys("\u2018\u2019\u2032\u00b4`", "'"),
        **dict.fromkeys("\u201c\u201d\u2033", '"'),
        **dict.fromkeys("\u2010\u2011\u2012\u2013\u2014\u2212", "-"),
        **dict.fromkeys("\u2044\u2215", "/"),
        "\u00b2": "2",
        "\u00b3": "3",
    }
)


def normalized(typed: str) -> str:
    """Return typed text in lower case, with one kind of quote, dash and space, and fractions written out."""
    text = []
    for character in typed.translate(_SAME_CHARACTERS):
        if unicodedata.decomposition(character).startswith("<fraction>"):
            whole = unicodedata.normalize("NFKC", character).translate(_SAME_CHARACTERS)
            character = f" {whole}"
        text.append(character)
    return " ".join("".join(text).lower().replace("''", '"').split())


def shortened(typed: str) -> str:
    """Return typed text cut to 40 characters, to be quoted in a sentence."""
    text = " ".join(typed.split())
    return text if len(text) <= 40 else text[:37] + "..."


def half_up(exact: Fraction) -> int:
    """Return the nearest whole number; a half is rounded away from zero."""
    nearest = (2 * abs(exact.numerator) + exact.denominator) // (2 * exact.denominator)
    return -nearest if exact < 0 else nearest


_NM_PER = {
    "ft": NM_PER_FOOT,
    "in": NM_PER_INCH,
    "m": NM_PER_METER,
    "cm": NM_PER_METER // 100,
    "mm": NM_PER_METER // 1000,
}
_MARKS = {
    **dict.fromkeys(("'", "ft", "ft.", "foot", "feet"), "ft"),
    **dict.fromkeys(('"', "in", "in.", "inch", "inches"), "in"),
    **dict.fromkeys(("m", "meter", "meters", "metre", "metres"), "m"),
    "cm": "cm",
    "mm": "mm",
}
_NUMBER = r"\d+ ?/ ?\d+|\d+(?: | ?- ?)\d+ ?/ ?\d+|\d+[.,]\d*|[.,]\d+|\d+"
_FEET, _INCHES = r"(?:'|feet|foot|ft\.?)", r'(?:"|inches|inch|in\.?)'
_ONE_NUMBER = re.compile(rf"({_NUMBER}) ?('|\"|[a-z]+\.?)?", re.ASCII)
_FEET_INCHES = re.compile(rf"({_NUMBER}) ?{_FEET}[ ,-]*({_NUMBER}) ?{_INCHES}?", re.ASCII)
_DASHED = re.compile(rf"(\d+) ?- ?(\d+(?:(?: | ?- ?)\d+ ?/ ?\d+|\.\d*)?) ?{_INCHES}?", re.ASCII)
_SPACED = re.compile(rf"(\d+) (\d+(?:(?: | ?- ?)\d+ ?/ ?\d+|\.\d*)?) ?{_INCHES}?", re.ASCII)
_FRACTION_BEHIND = re.compile(r'(.*\d) ?(?:"|inches|inch|in\.?) ?(\d+ ?/ ?\d+)', re.ASCII)  # 12' 6" 1/2
_METERS = re.compile(r"(\d+) ?(?:m|meters?|metres?)[ ,]*(\d+(?:\.\d+)?) ?(cm|mm)?", re.ASCII)
_SPACED_THOUSANDS = re.compile(r"([1-9]\d{0,2}) (\d{3}) ?(mm)?", re.ASCII)
_COMMA_OF_THOUSANDS = re.compile(r"[1-9]\d{0,2},\d{3}", re.ASCII)


@lru_cache(maxsize=4096)
def parse_length(text: str, bare: str = "ft", allow_zero: bool = False) -> int:
    """Read a length and return whole nanometers, rounded half-up.

    `bare` is the unit of a number without a mark: ft, in, m, cm or mm. Reads feet and inches (12' 6 1/2",
    12-6 1/2, 11 ft 1 3/4 in, and 11 1 3/4 where bare feet are expected), decimal feet (12.54'), inches
    (150 1/2", 5-1/2") and meters (3.82 m, 382 cm, 3,82 m, 3 m 82, 3 820 mm), with fractions down to 1/64.
    Raises UnreadableLength with a plain sentence for anything else, for zero (unless allowed) and for more
    than 1,000 ft.
    """
    if len(text) > MAX_CHARACTERS:
        raise UnreadableLength(f"That is too long for a length: {MAX_CHARACTERS} characters at most.")
    plain = normalized(text)
    if not plain:
        raise UnreadableLength(f"Type a length, such as {_example(bare)}.")
    if plain.startswith("-"):
        raise UnreadableLength(f"A length can't be negative. Leave out the minus sign of {shortened(text)}.")
    length_nm = half_up(_exact_nm(plain, bare))
    if length_nm == 0 and not allow_zero:
        raise UnreadableLength("A length of zero can't be used: type more than 0.")
    if length_nm > MAX_FEET * NM_PER_FOOT:
        raise UnreadableLength(f"{shortened(text)} is longer than {MAX_FEET:,} ft: check the number.")
    return length_nm


def _exact_nm(plain: str, bare: str) -> Fraction:
    """Return the exact nanometers of one number, of feet and inches, or of meters and what is beside them."""
    if behind := _FRACTION_BEHIND.fullmatch(plain):
        plain = f'{behind[1]} {behind[2]}"'
    if (spaced := _SPACED_THOUSANDS.fullmatch(plain)) and (spaced[3] or bare == "mm"):
        return Fraction(int(spaced[1] + spaced[2]) * _NM_PER["mm"])
    if meters := _METERS.fullmatch(plain):
        return _meters_and(*meters.groups())
    if single := _ONE_NUMBER.fullmatch(plain):
        number, mark = single.groups()
        unit = bare if mark is None else _MARKS.get(mark)
        if unit is not None:
            return _amount(number, unit) * _NM_PER[unit]
    pair = _FEET_INCHES.fullmatch(plain)
    if pair is None and bare in ("ft", "in"):
        pair = _DASHED.fullmatch(plain) or (_SPACED.fullmatch(plain) if bare == "ft" else None)
    if pair is None:
        raise UnreadableLength(
            f"{shortened(plain)} can't be read as a length. Type it such as {_example(bare)}."
        )
    feet, inches = _amount(pair[1], "ft"), _amount(pair[2], "in")
    if feet.denominator != 1:
        raise UnreadableLength(
            f"{pair[1]} ft has a part of a foot beside inches: give whole feet and inches."
        )
    length_nm = feet * NM_PER_FOOT + inches * NM_PER_INCH
    if inches >= 12:
        meant = format_length(half_up(length_nm))
        raise UnreadableLength(f"{pair[2]} in is a foot or more beside {feet} ft: is it {meant}?")
    return length_nm


def _meters_and(meters: str, rest: str, mark: str | None) -> Fraction:
    """Return a length read off a metric tape: 3 m 65 is 3.65 m, and 3 m 650 too."""
    digits = len(rest.partition(".")[0])
    if mark is None and digits == 1:
        raise UnreadableLength(
            f"{meters} m {rest} can be read in two ways: type {meters}.0{rest} m or {meters}.{rest} m."
        )
    beside_nm = Fraction(rest) * _NM_PER[mark or ("cm" if digits == 2 else "mm")]
    if beside_nm >= NM_PER_METER:
        raise UnreadableLength(
            f"{rest} {mark or 'mm'} is a meter or more beside {meters} m: check the number."
        )
    return int(meters) * NM_PER_METER + beside_nm


def _amount(number: str, unit: str) -> Fraction:
    """Return an exact number of units from "6 1/2", "6-1/2", "1/2", "12.54" or, in meters, "3,82"."""
    if "/" in number:
        return _with_fraction(number, unit)
    if "," in number:
        if unit in ("ft", "in"):
            raise UnreadableLength(f"Leave the comma out of {number}: a decimal takes a point, such as 12.5.")
        if _COMMA_OF_THOUSANDS.fullmatch(number):
            point, thousands = number.replace(",", "."), number.replace(",", "")
            raise UnreadableLength(
                f"{number} {unit} can be read in two ways: type {point} {unit} or {thousands} {unit}."
            )
    return Fraction(f"0{number.replace(',', '.')}")


def _with_fraction(number: str, unit: str) -> Fraction:
    *whole, top, bottom = (int(digits) for digits in re.findall(r"\d+", number))
    if bottom == 0:
        raise UnreadableLength(f"{top}/{bottom} isn't a fraction: the lower number can't be 0.")
    value = (whole[0] if whole else 0) + Fraction(top, bottom)
    if top >= bottom:
        readings = [_mixed(value)] + ([] if whole else _with_space_put_in(str(top), bottom))
        raise UnreadableLength(f"{number} {unit}: {' or '.join(readings)}? Type the one that you mean.")
    if bottom > 64 or bottom & (bottom - 1):
        tape = unit in ("ft", "in")
        near = format_length(half_up(value * _NM_PER[unit]), metric=not tape)
        why = "isn't on a tape (halves to 64ths): the nearest sixteenth is" if tape else "isn't metric: type"
        raise UnreadableLength(f"{top}/{bottom} {why} {near}.")
    return value


def _mixed(value: Fraction) -> str:
    whole, rest = divmod(value.numerator, value.denominator)
    return f"{whole} {rest}/{value.denominator}" if rest else str(whole)


def _with_space_put_in(top: str, bottom: int) -> list[str]:
    """List what 11/4 may mean if its space was forgotten: 1 1/4."""
    splits = ((top[:position], top[position:]) for position in range(1, len(top)))
    return [f"{whole} {rest}/{bottom}" for whole, rest in splits if rest[0] != "0" and int(rest) < bottom]


def _example(bare: str) -> str:
    return {"ft": "12' 6 1/2\"", "in": '5 1/2"', "m": "3.82 m", "cm": "382 cm", "mm": "3820 mm"}[bare]


def format_length(length_nm: int, metric: bool = False) -> str:
    """Return a length as a tape shows it: 12' 6-1/2", or in metric 3.820 m, and 32 mm below 10 cm.

    It is rounded to the nearest 1/16 in or millimeter; halfway between two marks, to the longer.
    """
    sign, size_nm = ("-", -length_nm) if length_nm < 0 else ("", length_nm)
    if metric:
        millimeters = half_up(Fraction(size_nm, NM_PER_METER // 1000))
        if 0 < millimeters < 100:
            return f"{sign}{millimeters} mm"
        return f"{sign}{millimeters // 1000}.{millimeters % 1000:03d} m"
    feet, sixteenths = divmod(half_up(Fraction(16 * size_nm, NM_PER_INCH)), 12 * 16)
    inches, rest = divmod(sixteenths, 16)
    parts = [str(inches)] if inches or feet or not rest else []
    parts += [str(Fraction(rest, 16))] if rest else []
    shown_inches = "-".join(parts) + '"'
    return f"{sign}{feet}' {shown_inches}" if feet else f"{sign}{shown_inches}"


def length_in_both_units(length_nm: int, metric: bool = False) -> str:
    """Return such as "= 11 ft 1 3/4 in (3.397 m)", meters first with `metric`.

    It says "about" where a tape has no such mark. Inches are rounded to the nearest 1/64 in, meters to the
    millimeter, both half up.
    """
    feet_and_inches, exact = _on_a_tape(length_nm)
    meters = format_length(length_nm, metric=True)
    if metric:
        return f"= {meters} ({feet_and_inches})"
    return f"{'=' if exact else 'about'} {feet_and_inches} ({meters})"


def _on_a_tape(length_nm: int) -> tuple[str, bool]:
    """Return a length in feet and inches, and whether the tape has just that mark."""
    marks = (2 * length_nm + SIXTY_FOURTH_NM) // (2 * SIXTY_FOURTH_NM)
    feet, marks_left = divmod(marks, NM_PER_FOOT // SIXTY_FOURTH_NM)
    inches, part = divmod(marks_left, 64)
    inch_texts = [str(inches)] if inches else []
    inch_texts += [str(Fraction(part, 64))] if part else []
    words = [f"{feet} ft"] if feet else []
    words += [f"{' '.join(inch_texts)} in"] if inch_texts else []
    return " ".join(words) or "0 in", marks * SIXTY_FOURTH_NM == length_nm


def sqft_from_nm2(area_nm2: Fraction | int) -> Fraction:
    """Return the exact square feet of an area in square nanometers."""
    return Fraction(area_nm2) / NM_PER_FOOT**2


def feet_from_nm(length_nm: int | Fraction) -> Fraction:
    """Return the exact feet of a length in nanometers."""
    return Fraction(length_nm, NM_PER_FOOT)
