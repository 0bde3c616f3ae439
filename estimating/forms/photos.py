"""The form field that takes photos."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from estimating.client.photos import MOST_PHOTOS, clean_photo
from estimating.client.uploads import UnreadableScan


class PhotoInput(forms.ClearableFileInput):
    """A file input for several photos at once, from the camera or from those stored."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Photos, cleaned to a list of JPEG bytes."""

    widget = PhotoInput(attrs={"accept": "image/jpeg,image/png"})

    def clean(self, data: Any, initial: Any = None) -> list[bytes]:
        files: Sequence[UploadedFile[bytes]] = [file for file in (data or []) if file]
        if len(files) > MOST_PHOTOS:
            raise ValidationError(f"That is {len(files)} photos: a change carries at most {MOST_PHOTOS}.")
        return [self._photo(file) for file in files]

    def _photo(self, file: "UploadedFile[bytes]") -> bytes:
        try:
            return clean_photo(file, file.size or 0)
        except UnreadableScan as error:
            raise ValidationError(f"{(file.name or 'The photo')[:60]}: {error}") from error
