"""Form fields for what a tradesman types: lengths, prices, plain numbers, markups, counts.

Each turns text into a domain value, and answers bad text with the plain sentence of the rule that read it.
All are text inputs with the keypad that fits; none changes what was typed.
"""

import re
from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from fractions import Fraction
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from catalog.measures.hours import read_hours, round_to_hundredth
from catalog.measures.lengths import feet_from_nm, format_length, parse_length
from catalog.measures.units import canonical_unit, convert, same_dimension
from catalog.money.amounts import parse_price
from catalog.money.markup import Markup, parse_markup

MOST = 1_000_000
_NUMBER = re.compile(r"-?(\d{1,3}(,\d{3})+|\d*)(\.\d*)?", re.ASCII)
_AMOUNT = re.compile(r"(?P<number>[\d.,\s]*)(?P<unit>.*)", re.DOTALL)
_COMMA = re.compile(r"(\d+),(\d+)", re.ASCII)


class EntryField(forms.CharField):
    """A text input that gives a domain value. Subclasses define the keypad (`inputmode`) and `read`."""

    inputmode = "decimal"

    def __init__(self, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 100)
        super().__init__(**kwargs)

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        attrs = {"autocomplete": "off"}
        if self.inputmode:
            attrs["inputmode"] = self.inputmode
        return attrs

    def read(self, text: str) -> Any:
        """Return the value of a text that isn't blank. Raises ValueError with a plain sentence."""
        raise NotImplementedError

    def clean(self, value: Any) -> Any:
        text = super().clean(value)
        if text in self.empty_values:
            return None
        try:
            return self.read(text)
        except ValueError as error:
            raise ValidationError(str(error), code="unreadable") from error


class LengthField(EntryField):
    """A length as on a tape measure, in nanometers. `bare` is the unit of a number without a mark."""

    def __init__(self, *, bare: str = "ft", allow_zero: bool = False, **kwargs: Any) -> None:
        self.bare = bare
        self.allow_zero = allow_zero
        super().__init__(**kwargs)

    def use_metric(self, bare: str = "m") -> None:
        """Read a number without a mark as metric, and show lengths in metric."""
        self.bare = bare
        self.widget.attrs.update(self.widget_attrs(self.widget))

    @property
    def metric(self) -> bool:
        return self.bare in ("m", "cm", "mm")

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return {
            **super().widget_attrs(widget),
            "data-length": self.bare,
            "data-reading": reverse_lazy("length-reading"),
        }

    def read(self, text: str) -> int:
        return parse_length(text, bare=self.bare, allow_zero=self.allow_zero)

    def prepare_value(self, value: Any) -> Any:
        return format_length(value, self.metric) if isinstance(value, int) else value


class PriceField(EntryField):
    """Dollars and cents as a Decimal."""

    def read(self, text: str) -> Decimal:
        return parse_price(text)

    def prepare_value(self, value: Any) -> Any:
        amount = getattr(value, "amount", value)
        return f"{amount:.2f}" if isinstance(amount, Decimal) else amount


class NumberField(EntryField):
    """A plain number as a Decimal between `least` and `most`, with at most `places` decimals."""

    def __init__(
        self,
        *,
        least: Decimal = Decimal(0),
        most: Decimal = Decimal(MOST),
        places: int = 4,
        **kwargs: Any,
    ) -> None:
        self.least, self.most, self.places = least, most, places
        super().__init__(**kwargs)

    def read(self, text: str) -> Decimal:
        plain = _without_commas(text)
        try:
            number = Decimal(plain)
        except InvalidOperation as error:
            raise ValueError(f"“{text[:40]}” isn't a number. Type digits, such as 12 or 12.5.") from error
        if not self.least <= number <= self.most:
            raise ValueError(f"{plain[:40]} is out of range: type {self.least} to {self.most}.")
        if number != number.quantize(Decimal(1).scaleb(-self.places), ROUND_HALF_UP):
            raise ValueError(f"{plain[:40]} has too many decimals: at most {self.places}.")
        return number

    def prepare_value(self, value: Any) -> Any:
        if not isinstance(value, Decimal):
            return value
        shown = f"{value:f}"
        return shown.rstrip("0").rstrip(".") if "." in shown else shown


class HoursField(NumberField):
    """Hours as a Decimal, typed as a number, a fraction or by the clock: "1.25", "1 1/4" or "1:15"."""

    inputmode = ""  # keypads for decimals have no colon

    def read(self, text: str) -> Decimal:
        hours = read_hours(text)
        return super().read(text if hours is None else f"{round_to_hundredth(hours)}")


class CountField(EntryField):
    """A whole number from `least` to `most`."""

    inputmode = "numeric"

    def __init__(self, *, least: int = 0, most: int = 32_000, **kwargs: Any) -> None:
        self.least, self.most = least, most
        super().__init__(**kwargs)

    def read(self, text: str) -> int:
        plain = _without_commas(text)
        if not plain.isdigit():
            raise ValueError(f"“{text[:40]}” isn't a whole number. Type digits, such as 4.")
        if len(plain) > 9 or not self.least <= int(plain) <= self.most:
            raise ValueError(f"{plain[:12]} is out of range: type {self.least} to {self.most}.")
        return int(plain)


class AmountField(EntryField):
    """An amount of a measure, in the measure's own unit, as a Fraction.

    A length is read as on a tape measure, and an area may be two lengths ("10' x 7'"). Anything else is a
    number, which may have another unit after it ("192", "192 sq ft", "17.8 m2").
    """

    def __init__(self, *, unit: str, metric: bool = False, **kwargs: Any) -> None:
        self.unit, self.metric = unit, metric
        kwargs.setdefault("max_length", 80)
        super().__init__(**kwargs)

    def read(self, text: str) -> Fraction:
        if self.unit == "ft":
            return self._feet(text)
        sides = re.split(r"\s*[x×*]\s*", text.strip().lower())
        if self.unit == "sq ft" and len(sides) == 2:
            return self._in_range(self._feet(sides[0]) * self._feet(sides[1]), text)
        match = _AMOUNT.fullmatch(text.strip())
        assert match is not None  # the pattern takes any text
        number, unit = match["number"], match["unit"]
        if number.strip() and unit and not unit[0].isalpha():
            raise ValueError(f"“{text.strip()[:40]}” isn't a number. Type digits, such as 12 or 12.5.")
        amount = Fraction(NumberField(places=6).read(number.strip() or text))
        if unit:
            typed = canonical_unit(unit.strip())
            if not same_dimension(typed, self.unit):
                raise ValueError(f"{unit.strip()[:40]} doesn't fit here: this is counted in {self.unit}.")
            amount = convert(amount, typed, self.unit)
        elif self.metric and self.unit == "sq ft":
            amount = convert(amount, "m2", self.unit)
        return self._in_range(amount, text)

    def _feet(self, text: str) -> Fraction:
        return feet_from_nm(parse_length(text, bare="m" if self.metric else "ft", allow_zero=True))

    def _in_range(self, amount: Fraction, text: str) -> Fraction:
        if amount > MOST:
            raise ValueError(f"{text.strip()[:40]} is out of range: type at most {MOST:,} {self.unit}.")
        return amount


class MarkupEntryField(EntryField):
    """A markup or a margin; a percentage without a word is a markup ("20", "20 markup", "12.5 margin")."""

    inputmode = ""

    def read(self, text: str) -> Markup:
        return parse_markup(text)

    def prepare_value(self, value: Any) -> Any:
        return f"{value.percent:f} {value.typed_as}" if isinstance(value, Markup) else value


def _without_commas(text: str) -> str:
    """Return a number without the commas between thousands and the % after it; empty where it is no number.

    Raises ValueError for a comma that stands for a point: 6,5 must not be read as 65.
    """
    plain = text.strip().removesuffix("%").rstrip()
    if _NUMBER.fullmatch(plain):
        return plain.replace(",", "")
    if comma := _COMMA.fullmatch(plain):
        point = f"{comma[1]}.{comma[2]}"[:40]
        raise ValueError(f"{text.strip()[:40]}: a comma parts thousands; a decimal takes a point: {point}.")
    return ""
