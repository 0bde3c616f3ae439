"""Model fields: money, and values that a plain column would round or take apart (fractions, markups)."""

from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Any, TypeVar

from django.core.exceptions import ValidationError
from django.db import models
from django.db.models.expressions import Combinable

from catalog.money.markup import Markup, UnreadableMarkup, parse_markup

# What a field may be set to, and what it reads as; the checker adds None where the column may be null.
_Set = TypeVar("_Set", contravariant=True)
_Get = TypeVar("_Get", covariant=True)

if TYPE_CHECKING:
    from django.db.models import Field
    from djmoney.money import Money

    class MoneyField(Field[_Set, _Get]):
        """The field of django-money, which has no annotations of its own."""

        _pyi_private_set_type: Money | Decimal | int | str | Combinable
        _pyi_private_get_type: Money

        def __init__(
            self, verbose_name: str | None = None, *, max_digits: int, decimal_places: int, **kwargs: Any
        ) -> None: ...
else:
    from djmoney.models.fields import MoneyField

    class Field(models.Field):
        """Django's field, written with its types (Field[_Set, _Get]), which it ignores at run time."""

        def __class_getitem__(cls, types: Any) -> type["Field"]:
            return cls


__all__ = ["FractionField", "MarkupField", "MoneyField"]


class ShortTextField(Field[_Set, _Get]):
    """A value that is stored as a short text; not a CharField, whose validators want a string."""

    def get_internal_type(self) -> str:
        return "CharField"


@lru_cache(maxsize=2048)  # a page reads the same few sizes and coverages of the catalog again
def _fraction(text: str) -> Fraction:
    return Fraction(text)


class FractionField(ShortTextField[_Set, _Get]):
    """An exact fraction, stored as text ("1/350")."""

    description = "An exact fraction"
    _pyi_private_set_type: Fraction | int | Combinable
    _pyi_private_get_type: Fraction

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 80)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Fraction | None:
        return _fraction(value) if value else None

    def to_python(self, value: Any) -> Fraction | None:
        """Return the fraction that a value stands for, None for no value. Raises ValidationError."""
        if value is None or value == "":
            return None
        if isinstance(value, Fraction):
            return value
        try:
            return Fraction(value)
        except (ValueError, TypeError, ZeroDivisionError) as error:
            raise ValidationError(f"{value!r} isn't a number.") from error

    def get_prep_value(self, value: Any) -> str | None:
        fraction = self.to_python(value)
        return None if fraction is None else f"{fraction.numerator}/{fraction.denominator}"


@lru_cache(maxsize=256)  # every estimate has four of the same few
def _markup(text: str) -> Markup:
    return parse_markup(text)


class MarkupField(ShortTextField[_Set, _Get]):
    """A markup or margin as it was typed, stored as text ("20 markup", "12.5 margin")."""

    description = "A markup on cost, or the margin that it equals"
    _pyi_private_set_type: Markup | str | Combinable
    _pyi_private_get_type: Markup

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("max_length", 40)
        super().__init__(*args, **kwargs)

    def from_db_value(self, value: str | None, expression: Any, connection: Any) -> Markup | None:
        return _markup(value) if value else None

    def to_python(self, value: Any) -> Markup | None:
        """Return the markup that a value stands for, None for no value. Raises ValidationError."""
        if value is None or value == "":
            return None
        if isinstance(value, Markup):
            return value
        try:
            return parse_markup(value)
        except UnreadableMarkup as error:
            raise ValidationError(str(error)) from error

    def get_prep_value(self, value: Any) -> str | None:
        markup = self.to_python(value)
        return None if markup is None else f"{markup.percent} {markup.typed_as}"

    def value_to_string(self, obj: models.Model) -> str:
        return self.get_prep_value(self.value_from_object(obj)) or ""
