"""Fields that take photos."""

from collections.abc import Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from estimating.client.photos import MOST_PHOTOS, clean_photo
from estimating.client.uploads import UnreadableScan


class PhotoInput(forms.ClearableFileInput):
    """Several photos in one go, from the camera or from those kept."""

    allow_multiple_selected = True


class PhotosField(forms.FileField):
    """Photos as they are kept: a list of JPEG bytes."""

    widget = PhotoInput(attrs={"accept": "image/jpeg,image/png"})

    def clean(self, data: Any, initial: Any = None) -> list[bytes]:
        files: Sequence[UploadedFile] = [each for each in (data or []) if each]
        if len(files) > MOST_PHOTOS:
            raise ValidationError(f"That is {len(files)} photos: a change carries at most {MOST_PHOTOS}.")
        return [self._photo(each) for each in files]

    def _photo(self, file: UploadedFile) -> bytes:
        try:
            return clean_photo(file, file.size or 0)
        except UnreadableScan as error:
            raise ValidationError(f"{(file.name or 'The photo')[:60]}: {error}") from error
