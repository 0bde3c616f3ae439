"""What is typed of a day on site, and of two photos that are to be shown others."""

from datetime import date
from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.forms.model_form import ModelForm, offer_rows, set_plain_messages
from estimating.forms.photos import PhotosField
from jobsite.forms.fields import PastDayField
from jobsite.models import DiaryEntry, DiaryPhoto, Reference


class DiaryForm(ModelForm[DiaryEntry]):
    """A day with its photos; of the photos that it has, what each shows, and which are taken out."""

    photos = PhotosField(label="Photos", required=False, help_text="JPEG or PNG, at most 10 MB each.")
    on = PastDayField(label="Day")

    class Meta:
        model = DiaryEntry
        fields = ("says", "on", "weather", "who", "came", "for_client")
        widgets = {"says": forms.Textarea(attrs={"rows": 4})}
        help_texts = {"weather": "Such as: rain, 45 °F.", "who": "Such as: the electrician, Mrs. Okonjo."}

    field_order = ("says", "photos", "on", "weather", "who", "came", "for_client")

    def __init__(
        self, *args: Any, today: date, photos: list[DiaryPhoto] | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        day = self.fields["on"]
        assert isinstance(day, PastDayField)
        day.today = today
        self.kept = photos or []
        for number, photo in enumerate(self.kept, 1):
            self.fields[f"caption-{photo.pk}"] = forms.CharField(
                label=f"What photo {number} shows", required=False, max_length=120, initial=photo.caption
            )
            self.fields[f"out-{photo.pk}"] = forms.BooleanField(
                label=f"Take photo {number} out", required=False
            )
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        if not self.kept and not any(
            typed.get(name) for name in ("says", "photos", "weather", "who", "came")
        ):
            self.add_error("says", "Write what happened, or add a photo.")
        return typed

    def save_photos(self) -> None:
        """Save what the kept photos show, and take out those that are ticked."""
        for photo in self.kept:
            if self.cleaned_data[f"out-{photo.pk}"]:
                photo.delete()
            elif photo.caption != self.cleaned_data[f"caption-{photo.pk}"]:
                photo.caption = self.cleaned_data[f"caption-{photo.pk}"]
                photo.save(update_fields=["caption"])


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
