"""What all forms share: a model form that names its row, plain messages, what fields offer and show."""

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING, Any, TypeVar

from django import forms
from django.core.validators import MaxLengthValidator
from django.db import models
from django.urls import reverse_lazy

from saving.forms import MergesEdits

Row = TypeVar("Row", bound=models.Model)

if TYPE_CHECKING:

    class ModelForm(MergesEdits, forms.ModelForm[Row]): ...
else:

    class ModelForm(MergesEdits, forms.ModelForm):
        """Django's form, written with its model (ModelForm[Material]), which it ignores at run time.

        An edit of a row never undoes another (`MergesEdits`).
        """

        def __class_getitem__(cls, model: Any) -> type["ModelForm"]:
            return cls


__all__ = [
    "DATE_ATTRS",
    "ModelForm",
    "offer_choices",
    "offer_rows",
    "reading_attrs",
    "set_plain_messages",
]

DATE_ATTRS = {"type": "date"}

Choices = Sequence[tuple[str, str | Sequence[tuple[str, str]]]]


def offer_rows(form: forms.BaseForm, name: str, rows: models.QuerySet[Row], empty_label: str) -> None:
    """Have a field offer these rows, under the words for choosing none of them."""
    field = form.fields[name]
    assert isinstance(field, forms.ModelChoiceField)
    field.queryset = rows
    field.empty_label = empty_label


def offer_choices(form: forms.BaseForm, name: str, choices: Choices) -> None:
    """Have a field offer these choices: each a value and its label, or a heading and the choices under it."""
    field = form.fields[name]
    assert isinstance(field, forms.ChoiceField)
    field.choices = choices


def set_plain_messages(fields: Mapping[str, forms.Field]) -> None:
    """Replace Django's error messages by sentences that say what would be right."""
    for field in fields.values():
        choice = hasattr(field, "choices") or isinstance(field, forms.ModelChoiceField)
        field.error_messages |= {
            "required": "Choose one." if choice else "Fill this in.",
            "invalid_choice": "Choose one of those offered.",
        }
        if getattr(field, "max_length", None):
            _set_length_message(field)
        if isinstance(field, forms.DateField):
            field.error_messages["invalid"] = "Type a day such as 2026-11-24, or choose it."


def _set_length_message(field: forms.Field) -> None:
    for validator in field.validators:
        if isinstance(validator, MaxLengthValidator):
            validator.message = "Keep it to %(limit_value)d characters: this has %(show_value)d."


def reading_attrs(url_name: str, *with_fields: str) -> dict[str, Any]:
    """Return the attributes of an input whose meaning is shown under it while it is typed.

    The address gets the input's text and that of `with_fields`, and is asked again when one of them changes.
    """
    others = ", ".join(f"[name={name}]" for name in with_fields)
    changes = "".join(f", change from:#id_{name}" for name in with_fields)
    return {
        "hx-get": reverse_lazy(url_name),
        "hx-trigger": f"load, input changed delay:250ms{changes}",
        "hx-target": "next .reading",
        **({"hx-include": others} if others else {}),
    }
