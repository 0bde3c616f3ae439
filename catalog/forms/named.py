"""What every named row of the catalog shares: a name of its own, a code made from it, plain sentences."""

from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.urls import reverse_lazy

from catalog.rows.names import free_code

DAY = {"type": "date"}


def say_plainly(fields: dict[str, forms.Field]) -> None:
    """Django's own messages, said so that they name what would be right."""
    for field in fields.values():
        choice = hasattr(field, "choices") or isinstance(field, forms.ModelChoiceField)
        field.error_messages |= {
            "required": "Choose one." if choice else "Fill this in.",
            "invalid_choice": "Choose one of those offered.",
        }
        if getattr(field, "max_length", None):
            _say_length_plainly(field)
        if isinstance(field, forms.DateField):
            field.error_messages["invalid"] = "Type a day such as 2026-11-24, or choose it."


def reads(url_name: str, *with_fields: str) -> dict[str, Any]:
    """Attributes of an input whose reading is shown under it while it is typed."""
    others = ", ".join(f"[name={name}]" for name in with_fields)
    changes = "".join(f", change from:#id_{name}" for name in with_fields)
    return {
        "hx-get": reverse_lazy(url_name),
        "hx-trigger": f"load, input changed delay:250ms{changes}",
        "hx-target": "next .reading",
        **({"hx-include": others} if others else {}),
    }


def _say_length_plainly(field: forms.CharField) -> None:
    for validator in field.validators:
        if getattr(validator, "code", "") == "max_length":
            validator.message = "Keep it to %(limit_value)d characters: this has %(show_value)d."


class NamedForm(forms.ModelForm):
    """A catalog row known by its name. Its code is made from the name once and then stays."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)
        self.fields["name"].error_messages["required"] = "Type a name."
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        """Lines end as they are kept, not as a browser sends them: what is left alone stays the same."""
        cleaned = super().clean()
        lines = {name: value for name, value in cleaned.items() if isinstance(value, str)}
        cleaned |= {name: value.replace("\r\n", "\n") for name, value in lines.items()}
        return cleaned

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        rows = self._meta.model.objects.filter(name__iexact=name).exclude(pk=self.instance.pk)
        if twin := rows.first():
            among = "among the retired ones" if twin.retired else "in the catalog"
            raise ValidationError(f"{twin.name} is {among} already: type another name, or use that one.")
        return name

    def save(self, commit: bool = True) -> Any:
        if hasattr(self.instance, "code") and not self.instance.code:
            self.instance.code = free_code(type(self.instance), self.instance.name)
        return super().save(commit)
