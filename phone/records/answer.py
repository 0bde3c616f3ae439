"""Why a record that a phone sends isn't saved."""

from collections.abc import Mapping
from typing import Any

from django import forms


class RefusedRecord(ValueError):
    """A record that can't be saved as it is.

    `fields` are sentences by the name of a field. `also` is what the phone needs beside them, such as the
    values that somebody else saved meanwhile.
    """

    def __init__(
        self,
        sentence: str,
        fields: Mapping[str, str] | None = None,
        also: Mapping[str, Any] | None = None,
        status: int = 422,
    ) -> None:
        super().__init__(sentence)
        self.fields = dict(fields or {})
        self.also = dict(also or {})
        self.status = status


def refused_form(form: forms.BaseForm) -> RefusedRecord:
    """Return the refusal that a form's errors make."""
    sentences = {name: " ".join(str(error) for error in errors) for name, errors in form.errors.items()}
    labels = {name: str(form.fields[name].label or "") for name in sentences if name in form.fields}
    whole = "; ".join(
        f"{labels[name]}: {words}" if labels.get(name) else words for name, words in sentences.items()
    )
    return RefusedRecord(whole, sentences)
