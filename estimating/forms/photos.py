"""The form field that takes photos, and their drawing before the form is cleaned."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse

from access.body_limits import takes_much
from estimating.client.photos import MOST_PHOTOS, clean_photo
from estimating.client.uploads import UnreadableScan
from saving.once import before_turn

View = TypeVar("View", bound=Callable[..., HttpResponse])


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
        drawn = _drawn(file)
        if isinstance(drawn, UnreadableScan):
            raise ValidationError(f"{(file.name or 'The photo')[:60]}: {drawn}")
        return drawn


def takes_photos(view: View) -> View:
    """Let posts to a view carry `photos`, which are drawn before the post's turn to be saved."""
    return takes_much(before_turn(_draw_photos)(view))


def _draw_photos(request: HttpRequest) -> None:
    files = request.FILES.getlist("photos")
    if len(files) <= MOST_PHOTOS:  # more are refused
        for file in files:
            _drawn(file)


def _drawn(file: "UploadedFile[bytes]") -> bytes | UnreadableScan:
    """Return the cleaned photo, or why there is none; it is drawn once and kept with the file."""
    drawn: bytes | UnreadableScan | None = file.__dict__.get("drawn")
    if drawn is None:
        try:
            drawn = clean_photo(file, file.size or 0)
        except UnreadableScan as error:
            drawn = error
        file.__dict__["drawn"] = drawn
    return drawn
