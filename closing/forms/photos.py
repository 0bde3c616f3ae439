"""Photos of items, drawn anew in two sizes before their post has its turn to be saved."""

from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse

from access.body_limits import takes_much
from estimating.client.photos import LONGEST_SIDE, MOST_PHOTOS, clean_photo
from estimating.client.uploads import UnreadableScan
from estimating.forms.photos import PhotosField
from saving.once import before_turn

SMALL_SIDE = 160

View = TypeVar("View", bound=Callable[..., HttpResponse])
TwoSizes = tuple[bytes, bytes]


class ItemPhotosField(PhotosField):
    """Photos, cleaned to a list of pairs: the picture, and a small one for lists."""

    def clean(self, data: Any, initial: Any = None) -> list[TwoSizes]:  # type: ignore[override]  # two sizes
        files: Sequence[UploadedFile[bytes]] = [file for file in (data or []) if file]
        if len(files) > MOST_PHOTOS:
            raise ValidationError(f"That is {len(files)} photos. Send at most {MOST_PHOTOS} at a time.")
        found = []
        for file in files:
            drawn = _drawn(file)
            if isinstance(drawn, UnreadableScan):
                raise ValidationError(f"{(file.name or 'The photo')[:60]}: {drawn}")
            found.append(drawn)
        return found


def takes_item_photos(view: View) -> View:
    """Let posts to a view carry `photos`, which are drawn before the post's turn to be saved."""

    def draw_photos(request: HttpRequest) -> None:
        files = request.FILES.getlist("photos")
        if len(files) <= MOST_PHOTOS:  # more are refused
            for file in files:
                _drawn(file)

    return takes_much(before_turn(draw_photos)(view))


def _drawn(file: "UploadedFile[bytes]") -> TwoSizes | UnreadableScan:
    """Return the photo in both sizes, or why there is none; it is drawn once and kept with the file."""
    drawn: TwoSizes | UnreadableScan | None = file.__dict__.get("drawn")
    if drawn is None:
        try:
            content = clean_photo(file, file.size or 0, LONGEST_SIDE)
            file.seek(0)
            drawn = content, clean_photo(file, file.size or 0, SMALL_SIDE)
        except UnreadableScan as error:
            drawn = error
        file.__dict__["drawn"] = drawn
    return drawn
