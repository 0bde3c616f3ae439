"""The form of every named row of the catalog: a name of its own, and a code made from it."""

from typing import Any, TypeVar

from django.core.exceptions import ValidationError

from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.models import ListedRow, Supplier
from catalog.rows.names import free_code

Row = TypeVar("Row", bound=ListedRow)


class NamedForm(ModelForm[Row]):
    """A catalog row known by its name. Its code is made from the name once and then stays."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.fields["name"].error_messages["required"] = "Type a name."
        self.fields["name"].widget.attrs["autocomplete"] = "off"

    def clean(self) -> dict[str, Any]:
        """Store line ends as newlines, not as a browser sends them, so that unchanged text stays equal."""
        super().clean()
        cleaned = self.cleaned_data
        texts = {name: value for name, value in cleaned.items() if isinstance(value, str)}
        cleaned |= {name: value.replace("\r\n", "\n") for name, value in texts.items()}
        return cleaned

    def clean_name(self) -> str:
        name = " ".join(self.cleaned_data["name"].split())
        rows = self._meta.model._default_manager.filter(name__iexact=name).exclude(pk=self.instance.pk)
        if twin := rows.first():
            among = "among the hidden ones" if twin.retired else "in the catalog"
            raise ValidationError(f"{twin.name} is {among} already: type another name, or use that one.")
        return name

    def save(self, commit: bool = True) -> Row:
        row: ListedRow = self.instance
        if not isinstance(row, Supplier) and not row.code:
            row.code = free_code(type(row), row.name)
        return super().save(commit)
