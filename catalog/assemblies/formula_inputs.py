"""The inputs of a formula: what each is, and how the text typed for it is read."""

import re
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.measures.lengths import NM_PER_INCH, UnreadableLength, parse_length, shortened

_DECIMAL = re.compile(r"\d{1,6}(?:\.\d{0,6})?|\.\d{1,6}", re.ASCII)


_MICROMETERS = re.compile(r"(\d{1,6}(?:\.\d{0,6})?) ?(?:[\u00b5\u03bcu]m|microns?|micromet(?:er|re)s?)", re.I)
MICROMETERS_PER_MIL = Fraction(254, 10)  # a mil is 1/1000 in


class UnusableInput(ValueError):
    """An input of a formula can't be used; `name` says which.

    The message is a plain sentence that names the input by its label. `beside_field` is the sentence to show
    beside the input's own field, where the label stands already.
    """

    def __init__(self, name: str, message: str, beside_field: str = "") -> None:
        super().__init__(message)
        self.name = name
        self.beside_field = beside_field or message


@dataclass(frozen=True)
class FormulaInput:
    """A number that a formula needs, and where its default comes from."""

    name: str
    label: str
    unit: str  # "in" is read as on a tape measure; "%" stays within 100; "mil" takes micrometers too
    default: str = ""  # "" where it must be typed, or may be left out
    source: str = ""
    may_be_left_out: bool = False
    may_be_zero: bool = False


def read_input(wanted: FormulaInput, given: str | Decimal | Fraction) -> Fraction | None:
    """Return the value in the unit of the input; None where it is left out and may be.

    Raises UnusableInput.
    """
    if isinstance(given, str):
        text = given.strip() or wanted.default
        if not text:
            if wanted.may_be_left_out:
                return None
            raise _refused(wanted, f"is missing: type it in {wanted.unit}.")
        value = _inches_from(wanted, text) if wanted.unit == "in" else _decimal_from(wanted, text)
    else:
        value = Fraction(given)
    if value < 0 or (value == 0 and not wanted.may_be_zero):
        least = "can't be below zero" if wanted.may_be_zero else "must be more than zero"
        raise _refused(wanted, f"{least}.")
    if wanted.unit == "%" and value > 100:
        raise _refused(wanted, "can't be more than 100%.")
    return value


def _refused(wanted: FormulaInput, predicate: str) -> UnusableInput:
    """Return the error "Waste can't ...", which reads "It can't ..." beside the input's field."""
    return UnusableInput(wanted.name, f"{wanted.label} {predicate}", f"It {predicate}")


def _unreadable(wanted: FormulaInput, sentence: str) -> UnusableInput:
    """Return the error for text that can't be read, which the sentence quotes."""
    return UnusableInput(wanted.name, f"{wanted.label}: {sentence}", sentence)


def _inches_from(wanted: FormulaInput, text: str) -> Fraction:
    try:
        return Fraction(parse_length(text, bare="in", allow_zero=True), NM_PER_INCH)
    except UnreadableLength as error:
        raise _unreadable(wanted, str(error)) from error


def _decimal_from(wanted: FormulaInput, text: str) -> Fraction:
    number = text.removesuffix(wanted.unit).strip()
    micrometers = _MICROMETERS.fullmatch(text) if wanted.unit == "mil" else None
    if micrometers:
        return Fraction(Decimal(micrometers[1])) / MICROMETERS_PER_MIL
    if not _DECIMAL.fullmatch(number.removeprefix("-")):
        raise _unreadable(wanted, f"{shortened(text)} isn't a number such as 12.5.")
    return Fraction(Decimal(number))
