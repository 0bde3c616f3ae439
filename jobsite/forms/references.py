"""A pair of photos to be shown, and the client's answer."""

from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.forms.model_form import ModelForm, offer_rows, set_plain_messages
from jobsite.models import DiaryPhoto, Reference


class ReferenceForm(ModelForm[Reference]):
    """Two photos of the diary."""

    class Meta:
        model = Reference
        fields = ("before", "after", "says")

    def __init__(self, *args: Any, photos: QuerySet[DiaryPhoto], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name in ("before", "after"):
            offer_rows(self, name, photos, "Choose a photo")
            field = self.fields[name]
            assert isinstance(field, forms.ModelChoiceField)
            field.label_from_instance = _label  # type: ignore[method-assign, assignment]  # Django's own way to name rows
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        before, after = self.cleaned_data.get("before"), self.cleaned_data.get("after")
        if before and before == after:
            self.add_error("after", "That is the same photo twice: choose the one of afterwards.")
        return self.cleaned_data


def _label(photo: DiaryPhoto) -> str:
    return f"{photo.entry.on:%a} {photo.entry.on.day} {photo.entry.on:%b %Y}, {photo} ({photo.pk})"


class AnswerForm(forms.Form):
    """The client's yes or no, with his name."""

    answer = forms.ChoiceField(
        label="May they be shown?", choices=Reference.Answer.choices, widget=forms.RadioSelect
    )
    name = forms.CharField(label="Your name", max_length=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
