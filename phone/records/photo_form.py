"""The form of a photo of a room, as a phone sends it."""

import re
from datetime import UTC, date, datetime

from django import forms
from django.utils import timezone

from catalog.fields.form import LengthField
from estimating.forms.photos import PhotosField

WALL = re.compile(r"[A-Z]{1,2}")


class RoomPhotoForm(forms.Form):
    """Where the photo is and what it shows."""

    photos = PhotosField(label="Photo", required=False)
    wall = forms.CharField(label="Wall", max_length=2, required=False)
    offset = LengthField(label="From start", bare="in", allow_zero=True, required=False)
    away = LengthField(label="Out from the wall", bare="in", allow_zero=True, required=False)
    says = forms.CharField(label="What it shows", max_length=120, required=False)
    at = forms.IntegerField(required=False, min_value=0, max_value=10**14)

    def clean_wall(self) -> str:
        letters: str = self.cleaned_data["wall"]
        if letters and not WALL.fullmatch(letters):
            raise forms.ValidationError("Type the letter of a wall, such as A.")
        return letters

    def taken_on(self, now: datetime) -> date:
        """Return the day on which it was taken by the phone's clock; today where that is ahead of ours."""
        at: int | None = self.cleaned_data["at"]
        taken = datetime.fromtimestamp(at / 1000, UTC) if at else now
        return timezone.localdate(min(taken, now))
