"""Model fields for values that a plain column would round or take apart: exact fractions and markups."""

from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from catalog.money.markup import Markup, UnreadableMarkup, parse_markup


class TextKeptField(models.Field):
    """A value that is kept as a short text; it isn't a CharField, whose validators want a string."""

    def get_internal_type(self) -> str:
        return "CharField"


class FractionField(TextKeptField):
    """An exact fraction, kept as text ("1/350")."""

    description = "An exact fraction"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 80)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Fraction | None:
        return Fraction(value) if value else None

    def to_python(self, value: Any) -> Fraction | None:
        if value is None or value == "" or isinstance(value, Fraction):
            return None if value == "" else value
        try:
            return Fraction(value)
        except (ValueError, TypeError, ZeroDivisionError) as error:
            raise ValidationError(f"{value!r} isn't a number.") from error

    def get_prep_value(self, value: Any) -> str | None:
        fraction = self.to_python(value)
        return None if fraction is None else f"{fraction.numerator}/{fraction.denominator}"


class MarkupField(TextKeptField):
    """A markup with the way it was typed, kept as text ("20 markup", "12.5 margin")."""

    description = "A markup on cost, or the margin that it equals"

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 40)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Markup | None:
        return parse_markup(value) if value else None

    def to_python(self, value: Any) -> Markup | None:
        if value is None or value == "" or isinstance(value, Markup):
            return value or None
        try:
            return parse_markup(value)
        except UnreadableMarkup as error:
            raise ValidationError(str(error)) from error

    def get_prep_value(self, value: Any) -> str | None:
        markup = self.to_python(value)
        return None if markup is None else f"{markup.percent} {markup.typed_as}"

    def value_to_string(self, obj: models.Model) -> str:
        return self.get_prep_value(self.value_from_object(obj)) or ""
