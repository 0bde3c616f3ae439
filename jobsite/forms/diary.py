"""What is typed of a day on site."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import ModelForm, set_plain_messages
from estimating.forms.photos import PhotosField
from jobsite.forms.fields import PastDayField
from jobsite.models import DiaryEntry, DiaryPhoto


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
