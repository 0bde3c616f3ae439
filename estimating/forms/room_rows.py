"""Rows of a room's form: a wall of the walk, an opening, something fixed.

A row in which nothing is typed doesn't count, whatever is picked in it.
"""

from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import TextChoices

from catalog.fields.form import LengthField, NumberField
from catalog.forms.named import say_plainly
from estimating.models import FixedFootprint, Opening, wall_index
from estimating.rooms.measures import Leg, wall_letter
from estimating.rooms.outline import LEFT, RIGHT

MOST_ROWS = 60
LEAST_WALL_CHOICES = 12


class RowForm(forms.Form):
    """One row; `texts` names the fields that make it count."""

    title = ""
    texts: tuple[str, ...] = ()
    bare = ("in", "cm")

    def __init__(self, *args: Any, metric: bool, wall_count: int = LEAST_WALL_CHOICES, **kwargs: Any) -> None:
        super().__init__(*args, **{**kwargs, "empty_permitted": True})
        say_plainly(self.fields)
        if metric:
            for field in self.fields.values():
                if isinstance(field, LengthField):
                    field.use_metric(self.bare[1])
        for field in self.fields.values():
            field.error_messages["required"] = f"Type the {field.label.lower()}, or remove the row."
        if "wall" in self.fields:
            letters = [wall_letter(wall) for wall in range(max(wall_count, LEAST_WALL_CHOICES))]
            self.fields["wall"].choices = [
                *self.fields["wall"].choices,
                *((letter, letter) for letter in letters),
            ]

    def has_changed(self) -> bool:
        return any((self[name].data or "").strip() for name in self.texts)

    def clean_wall(self) -> int | None:
        letter = self.cleaned_data["wall"]
        return wall_index(letter) if letter else None


class Turn(TextChoices):
    RIGHT = "right", "right"
    LEFT = "left", "left"
    STRAIGHT = "straight", "straight on"
    RIGHT_BY = "right-by", "right by degrees"
    LEFT_BY = "left-by", "left by degrees"


class WallForm(RowForm):
    texts = ("length", "degrees")
    bare = ("ft", "m")

    # The blank placeholder lets the style sheet tell an empty row, and fold those far below the walls typed.
    length = LengthField(label="Wall", widget=forms.TextInput(attrs={"placeholder": " "}))
    turn = forms.ChoiceField(label="then turn", choices=Turn, initial=Turn.RIGHT)
    degrees = NumberField(label="degrees", most=Decimal(180), places=3, required=False)

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        by_degrees = cleaned.get("turn") in (Turn.RIGHT_BY, Turn.LEFT_BY)
        if by_degrees and "degrees" not in self.errors and cleaned.get("degrees") is None:
            self.add_error("degrees", "Type the degrees of the turn, such as 45.")
        if not by_degrees and "degrees" in self.errors:
            del self.errors["degrees"]
        return cleaned

    def leg(self) -> Leg:
        """The wall as it is walked. Only of a valid row."""
        typed = self.cleaned_data
        degrees = typed.get("degrees") or Decimal(0)
        turns = {
            Turn.RIGHT: RIGHT,
            Turn.LEFT: LEFT,
            Turn.STRAIGHT: Decimal(0),
            Turn.RIGHT_BY: degrees,
            Turn.LEFT_BY: -degrees,
        }
        return Leg(typed["length"], turns[Turn(typed["turn"])])


class WallRows(forms.BaseFormSet):
    """The walls of a walk, lettered in order; an empty row between two walls is refused."""

    def add_fields(self, form: WallForm, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["length"].label = f"Wall {wall_letter(index or 0)}"

    def clean(self) -> None:
        walked = [number for number, form in enumerate(self.forms) if form.has_changed()]
        for number in range(walked[-1] if walked else 0):
            if number not in walked:
                self.forms[number].add_error(
                    "length",
                    f"Type the length of wall {wall_letter(number)}, or remove the row:"
                    " the walls follow one another.",
                )


class OpeningForm(RowForm):
    title = "Opening"
    texts = ("width", "height", "sill", "offset", "recess", "name")

    kind = forms.ChoiceField(label="Kind", choices=Opening.Kind, initial=Opening.Kind.DOOR)
    wall = forms.ChoiceField(label="Wall", choices=())
    width = LengthField(label="Width", bare="in")
    height = LengthField(label="Height", bare="in")
    sill = LengthField(label="Sill", bare="in", allow_zero=True, required=False)
    offset = LengthField(label="From start", bare="in", allow_zero=True, required=False)
    recess = LengthField(label="Floor goes in", bare="in", allow_zero=True, required=False)
    name = forms.CharField(label="Name", required=False, max_length=60)

    def opening(self) -> Opening:
        """The opening, not stored and without its room. Only of a valid row."""
        typed = self.cleaned_data
        return Opening(
            name=typed["name"],
            kind=typed["kind"],
            wall=typed["wall"],
            width_nm=typed["width"],
            height_nm=typed["height"],
            sill_nm=typed["sill"] or 0,
            offset_nm=typed["offset"],
            recess_nm=typed["recess"] or 0,
        )


class FixedForm(RowForm):
    title = "Fixed thing"
    texts = ("length", "depth", "height", "offset", "name")

    kind = forms.ChoiceField(label="Kind", choices=FixedFootprint.Kind, initial=FixedFootprint.Kind.CABINETS)
    wall = forms.ChoiceField(label="Wall", choices=[("", "stands free")], required=False)
    length = LengthField(label="Length", bare="in")
    depth = LengthField(label="Depth", bare="in")
    height = LengthField(label="Height", bare="in", required=False)
    offset = LengthField(label="From start", bare="in", allow_zero=True, required=False)
    name = forms.CharField(label="Name", required=False, max_length=60)
    off_floor = forms.BooleanField(label="Floor stops at it", required=False)
    off_base = forms.BooleanField(label="No base along it", required=False, initial=True)
    off_walls = forms.BooleanField(label="Wall behind it is left out", required=False)

    @property
    def is_column(self) -> bool:
        return self.cleaned_data.get("kind") == FixedFootprint.Kind.COLUMN

    def footprint(self) -> FixedFootprint:
        """What stands there, not stored and without its room. Only of a valid row."""
        typed = self.cleaned_data
        return FixedFootprint(
            name=typed["name"],
            kind=typed["kind"],
            wall=None if self.is_column else typed["wall"],
            offset_nm=None if self.is_column or typed["wall"] is None else typed["offset"],
            length_nm=typed["length"],
            depth_nm=typed["depth"],
            height_nm=typed["height"],
            off_floor=typed["off_floor"],
            off_base=typed["off_base"],
            off_walls=typed["off_walls"],
        )


def _rows(form: type[RowForm], formset: type[forms.BaseFormSet] = forms.BaseFormSet) -> type:
    return forms.formset_factory(form, formset, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)


WallFormSet = _rows(WallForm, WallRows)
OpeningFormSet = _rows(OpeningForm)
FixedFormSet = _rows(FixedForm)
