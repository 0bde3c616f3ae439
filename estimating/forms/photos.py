"""The form field that takes photos, the firm's logo, and their drawing before the form is cleaned."""

from base64 import b64encode
from collections.abc import Callable, Sequence
from typing import Any, TypeVar

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile
from django.forms.boundfield import BoundField
from django.http import HttpRequest, HttpResponse

from access.body_limits import takes_much
from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.letterhead.contrast import UnfitColor, paper_color
from catalog.letterhead.svg_logo import MOST_LETTERS, UnfitLogo, safe_svg
from catalog.models import Firm
from estimating.client.photos import LONGEST_SIDE, MOST_PHOTOS, clean_photo
from estimating.client.uploads import JPEG, UnreadableScan, clean_scan
from estimating.models import Estimate, EstimatePhoto, RoomPhoto
from saving.forms import MergesEdits
from saving.once import before_turn

LOGO_SIDE, LOGO_QUALITY = 700, 90

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
            raise ValidationError(f"That is {len(files)} photos: choose at most {MOST_PHOTOS} at a time.")
        return [self._photo(file) for file in files]

    def _photo(self, file: "UploadedFile[bytes]") -> bytes:
        drawn = _drawn(file)
        if isinstance(drawn, UnreadableScan):
            raise ValidationError(f"{(file.name or 'The photo')[:60]}: {drawn}")
        return drawn


def takes_photos(view: View) -> View:
    """Let posts to a view carry `photos`, which are drawn before the post's turn to be saved."""
    return takes_photos_of(LONGEST_SIDE)(view)


def takes_photos_of(longest_side: int) -> Callable[[View], View]:
    """Do the same with photos of at most so many pixels a side."""

    def draw_photos(request: HttpRequest) -> None:
        files = request.FILES.getlist("photos")
        if len(files) <= MOST_PHOTOS:  # more are refused
            for file in files:
                _drawn(file, longest_side)

    def marked(view: View) -> View:
        return takes_much(before_turn(draw_photos)(view))

    return marked


def _drawn(file: "UploadedFile[bytes]", longest_side: int = LONGEST_SIDE) -> bytes | UnreadableScan:
    """Return the cleaned photo, or why there is none; it is drawn once and kept with the file."""
    drawn: bytes | UnreadableScan | None = file.__dict__.get("drawn")
    if drawn is None:
        try:
            drawn = clean_photo(file, file.size or 0, longest_side)
        except UnreadableScan as error:
            drawn = error
        file.__dict__["drawn"] = drawn
    return drawn


def check_room_for(photos: Sequence[bytes], kept: int) -> None:
    """Raise ValidationError where an estimate with so many photos can't take these."""
    if kept + len(photos) > MOST_PHOTOS:
        raise ValidationError(
            f"An estimate carries at most {MOST_PHOTOS} photos and has {kept}: remove one first."
        )


class EstimatePhotosForm(MergesEdits, forms.Form):
    """The photos of an estimate: what each shows, whether it is printed, and further ones."""

    photos = PhotosField(
        label="Add photos",
        required=False,
        help_text=f"JPEG or PNG, at most 10 MB each, {MOST_PHOTOS} in all. Place and camera are removed.",
    )

    def __init__(
        self,
        *args: Any,
        rows: Sequence[EstimatePhoto],
        of_rooms: Sequence[RoomPhoto] = (),
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rows, self.of_rooms = rows, of_rooms
        for number, row in enumerate(rows, 1):
            self.fields[f"caption-{row.pk}"] = forms.CharField(
                label=f"What photo {number} shows", required=False, max_length=120, initial=row.caption
            )
            self.fields[f"printed-{row.pk}"] = forms.BooleanField(
                label=f"Print photo {number} on the estimate", required=False, initial=row.is_printed
            )
        for photo in of_rooms:
            self.fields[f"room-{photo.pk}"] = forms.BooleanField(
                label=f"Put photo {photo.number} on the estimate", required=False
            )
        set_plain_messages(self.fields)

    @property
    def room_entries(self) -> list[tuple[RoomPhoto, BoundField]]:
        """Each photo of a room that isn't on the estimate, with its tick."""
        return [(photo, self[f"room-{photo.pk}"]) for photo in self.of_rooms]

    @property
    def entries(self) -> list[tuple[EstimatePhoto, BoundField, BoundField]]:
        """Each photo with its two fields."""
        return [(row, self[f"caption-{row.pk}"], self[f"printed-{row.pk}"]) for row in self.rows]

    def clean_photos(self) -> list[bytes]:
        photos: list[bytes] = self.cleaned_data["photos"]
        check_room_for(photos, len(self.rows))
        return photos

    def clean(self) -> dict[str, Any]:
        """Refuse more photos than an estimate carries, those of rooms counted in."""
        super().clean()
        further = [*self.cleaned_data.get("photos", []), *(b"" for _ in self._chosen())]
        if "photos" not in self.errors:
            check_room_for(further, len(self.rows))
        return self.cleaned_data

    def _chosen(self) -> list[RoomPhoto]:
        return [photo for photo in self.of_rooms if self.cleaned_data.get(f"room-{photo.pk}")]

    def save(self, estimate: Estimate) -> None:
        """Keep what was typed of each photo, and the further ones. Call in a transaction."""
        for row in self.rows:
            row.caption = self.cleaned_data[f"caption-{row.pk}"]
            row.is_printed = self.cleaned_data[f"printed-{row.pk}"]
            row.save(update_fields=["caption", "is_printed"])
        estimate.add_photos(self.cleaned_data["photos"])
        estimate.add_room_photos(self._chosen())


class LetterheadForm(ModelForm[Firm]):
    """The firm's logo, cleaned, and its color."""

    file = forms.FileField(
        label="Logo",
        required=False,
        widget=forms.FileInput(attrs={"accept": "image/png,image/jpeg,image/svg+xml"}),
        help_text="A PNG, a JPEG or a plain SVG, with little empty space around it.",
    )
    without = forms.BooleanField(label="Go without the logo", required=False)
    color = forms.CharField(
        label="Your color",
        required=False,
        max_length=20,
        help_text="The line under your name and the bars of the estimate, such as #1d5a9e. Empty for black.",
    )

    class Meta:
        model = Firm
        fields = ("color",)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_color(self) -> str:
        typed: str = self.cleaned_data["color"]
        try:
            return paper_color(typed) if typed.strip() else ""
        except UnfitColor as error:
            raise ValidationError(str(error)) from error

    def clean_file(self) -> str:
        file: UploadedFile[bytes] | None = self.cleaned_data["file"]
        drawn = _logo(file, f"Logo of {self.instance.name}") if file else ""
        if isinstance(drawn, ValueError):
            raise ValidationError(str(drawn))
        return drawn

    def save(self, commit: bool = True) -> Firm:
        if logo := self.cleaned_data["file"]:
            self.instance.logo = logo
        elif self.cleaned_data["without"]:
            self.instance.logo = ""
        return super().save(commit)


def takes_logo(view: View) -> View:
    """Let posts to a view carry a logo as `file`, which is drawn before the post's turn to be saved."""
    return takes_much(before_turn(_draw_logo)(view))


def _draw_logo(request: HttpRequest) -> None:
    if file := request.FILES.get("file"):
        _logo(file, "Logo")


def _logo(file: "UploadedFile[bytes]", title: str) -> str | ValueError:
    """Return the logo as the firm keeps it, or why there is none; a picture is drawn once."""
    content = file.read(MOST_LETTERS + 1)
    file.seek(0)
    if content.lstrip(b"\xef\xbb\xbf \r\n\t").startswith(b"<"):
        try:
            return safe_svg(content.decode("utf-8-sig"), title)
        except UnicodeDecodeError:
            return UnfitLogo("The file isn't an SVG that can be read. Save it again as plain SVG.")
        except UnfitLogo as error:
            return error
    drawn: str | ValueError | None = file.__dict__.get("drawn")
    if drawn is None:
        try:
            scan = clean_scan(file, file.size or 0, LOGO_SIDE, LOGO_QUALITY)
            is_picture = scan.content_type == JPEG
            drawn = (
                b64encode(scan.content).decode("ascii")
                if is_picture
                else UnfitLogo("A PDF can't be a logo. Choose a PNG, a JPEG or an SVG.")
            )
        except UnreadableScan as error:
            drawn = error
        file.__dict__["drawn"] = drawn
    return drawn
