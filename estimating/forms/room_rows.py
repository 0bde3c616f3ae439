"""The rows of a room's form: a wall, an opening, something fixed.

A row in which nothing is typed doesn't count, whatever is chosen in it.
"""

from collections.abc import Sequence
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeVar

from django import forms
from django.db.models import TextChoices

from catalog.fields.form import LengthField, NumberField
from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.cabinets.units import Unit, UnreadableUnits, parse_units
from estimating.models import FixedFootprint, Opening, wall_index
from estimating.rooms.outline import LEFT, RIGHT, Leg, wall_letter
from estimating.rooms.plan import ElectricalPlace, HeightPoint

MOST_ROWS = 60
LEAST_WALL_CHOICES = 12
LEAST_CEILING_NM = 12 * NM_PER_INCH  # invented: below it, feet or meters are meant


class RowForm(forms.Form):
    """One row.

    `texts` names the fields that make it count once something is typed there. `bare` holds the units of a
    number without a mark: for a firm that measures in feet, and for a metric one.
    """

    title = ""
    texts: tuple[str, ...] = ()
    bare = ("in", "cm")
    kinds: Sequence[tuple[str, Any]] = ()
    no_wall: tuple[tuple[str, str], ...] = ()  # the choice of standing along no wall, where there is one

    def __init__(self, *args: Any, metric: bool, wall_count: int = LEAST_WALL_CHOICES, **kwargs: Any) -> None:
        super().__init__(*args, **{**kwargs, "empty_permitted": True})
        set_plain_messages(self.fields)
        if metric:
            for field in self.fields.values():
                if isinstance(field, LengthField):
                    field.use_metric(self.bare[1])
        for field in self.fields.values():
            field.error_messages["required"] = f"Type the {str(field.label).lower()}, or remove the row."
        if "wall" in self.fields:
            letters = [wall_letter(wall) for wall in range(max(wall_count, LEAST_WALL_CHOICES))]
            walls = [(letter, letter) for letter in letters]
            offer_choices(self, "wall", [*self.no_wall, *walls])

    def has_changed(self) -> bool:
        """Return whether the row counts."""
        return any((self[name].data or "").strip() for name in self.texts)

    def kind_in_words(self) -> str:
        """Return the kind that is chosen, by its name."""
        return str(dict(self.kinds).get(str(self["kind"].value()), ""))

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
        super().clean()
        cleaned = self.cleaned_data
        by_degrees = cleaned.get("turn") in (Turn.RIGHT_BY, Turn.LEFT_BY)
        if by_degrees and "degrees" not in self.errors and cleaned.get("degrees") is None:
            self.add_error("degrees", "Type the degrees of the turn, such as 45.")
        if not by_degrees and "degrees" in self.errors:
            del self.errors["degrees"]
        return cleaned

    def leg(self) -> Leg:
        """Return the wall with the turn after it. Only of a valid row."""
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


if TYPE_CHECKING:
    BaseWallFormSet = forms.BaseFormSet[WallForm]
else:
    BaseWallFormSet = forms.BaseFormSet


class WallRows(BaseWallFormSet):
    """The walls one after another, lettered in order; an empty row between two walls is refused."""

    def add_fields(self, form: WallForm, index: int | None) -> None:
        super().add_fields(form, index)
        form.fields["length"].label = f"Wall {wall_letter(index or 0)}"

    def clean(self) -> None:
        typed = [wall for wall, form in enumerate(self.forms) if form.has_changed()]
        for wall in range(typed[-1] if typed else 0):
            if wall not in typed:
                self.forms[wall].add_error(
                    "length",
                    f"Type the length of wall {wall_letter(wall)}, or remove the row:"
                    " the walls follow one another.",
                )


class OpeningForm(RowForm):
    title = "Opening"
    kinds = Opening.Kind.choices
    texts = ("width", "height", "sill", "offset", "recess", "name")

    kind = forms.ChoiceField(label="Kind", choices=Opening.Kind, initial=Opening.Kind.DOOR)
    wall = forms.ChoiceField(label="Wall", choices=())
    width = LengthField(label="Width", bare="in")
    height = LengthField(label="Height", bare="in")
    sill = LengthField(label="Sill", bare="in", allow_zero=True, required=False)
    offset = LengthField(label="From start", bare="in", allow_zero=True, required=False)
    recess = LengthField(label="Depth", bare="in", allow_zero=True, required=False)
    name = forms.CharField(label="Name", required=False, max_length=60)

    def opening(self) -> Opening:
        """Return the opening, not stored and without its room. Only of a valid row."""
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
    kinds = FixedFootprint.Kind.choices
    texts = ("length", "depth", "height", "offset", "off_wall", "name", "units", "tile_to")

    kind = forms.ChoiceField(label="Kind", choices=FixedFootprint.Kind, initial=FixedFootprint.Kind.CABINETS)
    no_wall = (("", "stands free"),)
    wall = forms.ChoiceField(label="Wall", choices=no_wall, required=False)
    length = LengthField(label="Length", bare="in", required=False)
    depth = LengthField(label="Depth", bare="in")
    height = LengthField(label="Height", bare="in", required=False)
    offset = LengthField(label="From start", bare="in", allow_zero=True, required=False)
    off_wall = LengthField(label="Off the wall", bare="in", allow_zero=True, required=False)
    name = forms.CharField(label="Name", required=False, max_length=60)
    off_floor = forms.BooleanField(label="Floor stops at it", required=False)
    off_base = forms.BooleanField(label="No base along it", required=False, initial=True)
    off_walls = forms.BooleanField(label="Wall behind it is left out", required=False)
    units = forms.CharField(label="Cabinets, from the start", required=False, max_length=600)
    finished_ends = forms.ChoiceField(
        label="Finished ends",
        choices=(("", "none"), *FixedFootprint.FinishedEnds.choices),
        required=False,
    )
    bottom = LengthField(label="Underside", bare="in", allow_zero=True, required=False)
    overhang = LengthField(label="Counter overhang", bare="in", allow_zero=True, required=False)
    seat_overhang = LengthField(label="Overhang for seats", bare="in", allow_zero=True, required=False)
    tile_to = LengthField(label="Tile up to", bare="in", required=False)

    @property
    def subject(self) -> str:
        """What the faults of a plan call such a thing."""
        kind: str = self.cleaned_data.get("kind", "")
        kinds = FixedFootprint.Kind
        return kind if kind in (kinds.COLUMN, kinds.SOFFIT) else "footprint"

    def clean_units(self) -> tuple[Unit, ...]:
        bare = self.fields["length"].bare if isinstance(self.fields["length"], LengthField) else "in"
        try:
            return parse_units(self.cleaned_data["units"], bare)
        except UnreadableUnits as fault:
            raise forms.ValidationError(str(fault)) from fault

    def clean(self) -> dict[str, Any]:
        """Take the length of a run from its cabinets where none is typed."""
        super().clean()
        typed = self.cleaned_data
        if typed.get("length") is None and not {"length", "units"} & self.errors.keys():
            if units := typed["units"]:
                typed["length"] = sum(unit.width_nm for unit in units)
            else:
                self.add_error("length", str(self.fields["length"].error_messages["required"]))
        if typed.get("kind") == FixedFootprint.Kind.SOFFIT:
            if "wall" not in self.errors and typed.get("wall") is None:
                self.add_error("wall", "Choose the wall that the soffit runs along.")
            if "height" not in self.errors and typed.get("height") is None:
                self.add_error("height", "Type how far the soffit drops below the ceiling.")
        return typed

    def footprint(self) -> FixedFootprint:
        """Return what stands there, not stored and without its room. Only of a valid row."""
        typed = self.cleaned_data
        wall = None if self.subject == FixedFootprint.Kind.COLUMN else typed["wall"]
        stands_on_floor = self.subject == "footprint"
        return FixedFootprint(
            name=typed["name"],
            kind=typed["kind"],
            wall=wall,
            offset_nm=None if wall is None else typed["offset"],
            off_wall_nm=typed["off_wall"] if wall is not None and stands_on_floor else None,
            length_nm=typed["length"],
            depth_nm=typed["depth"],
            height_nm=typed["height"],
            off_floor=typed["off_floor"],
            off_base=typed["off_base"],
            off_walls=typed["off_walls"],
            units=[[unit.kind, unit.width_nm] for unit in typed["units"]],
            finished_ends=typed["finished_ends"],
            bottom_nm=typed["bottom"],
            overhang_nm=typed["overhang"],
            seat_overhang_nm=typed["seat_overhang"],
            tile_to_nm=typed["tile_to"],
        )


class HeightForm(RowForm):
    """The height of the ceiling at a place along a wall."""

    title = "Height"
    texts = ("offset", "height")

    wall = forms.ChoiceField(label="Wall", choices=())
    offset = LengthField(label="From start", bare="in", allow_zero=True)
    height = LengthField(label="Ceiling there", bare="in")

    def clean_height(self) -> int:
        """Refuse what can't be a ceiling: 8 without a mark would be 8 inches."""
        height_nm: int = self.cleaned_data["height"]
        if height_nm < LEAST_CEILING_NM:
            field = self.fields["height"]
            assert isinstance(field, LengthField)
            large, such_as = ("meters", "2.44 m") if field.metric else ("feet", "8'")
            least = format_length(LEAST_CEILING_NM, field.metric)
            raise forms.ValidationError(
                f"A ceiling is at least {least} high: type {large} with a mark, such as {such_as}."
            )
        return height_nm

    def point(self) -> HeightPoint:
        """Return the place and the height there. Only of a valid row."""
        typed = self.cleaned_data
        return HeightPoint(typed["wall"], typed["offset"], typed["height"])


class Electrical(TextChoices):
    OUTLET = "outlet", "Outlet"
    SWITCH = "switch", "Switch"
    LIGHT = "light", "Ceiling light"


class ElectricalForm(RowForm):
    """An outlet, a switch or a ceiling light where it is."""

    title = "Box or light"
    kinds = Electrical.choices
    texts = ("offset", "away")

    kind = forms.ChoiceField(label="Kind", choices=Electrical, initial=Electrical.OUTLET)
    wall = forms.ChoiceField(label="Wall", choices=())
    offset = LengthField(label="From start", bare="in", allow_zero=True)
    away = LengthField(label="Up the wall", bare="in", allow_zero=True)

    def place(self) -> ElectricalPlace:
        """Return the place. Only of a valid row."""
        typed = self.cleaned_data
        return ElectricalPlace(typed["kind"], typed["wall"], typed["offset"], typed["away"])


ROW_FORMS: dict[str, type[RowForm]] = {
    "walls": WallForm,
    "openings": OpeningForm,
    "fixed": FixedForm,
    "heights": HeightForm,
    "electrical": ElectricalForm,
}

Row = TypeVar("Row", bound=RowForm)


def _rows(
    form: type[Row], formset: "type[forms.BaseFormSet[Row]]" = forms.BaseFormSet
) -> "type[forms.BaseFormSet[Row]]":
    return forms.formset_factory(form, formset, extra=0, max_num=MOST_ROWS, absolute_max=MOST_ROWS)


if TYPE_CHECKING:
    RoomFormSet = (
        forms.BaseFormSet[WallForm]
        | forms.BaseFormSet[OpeningForm]
        | forms.BaseFormSet[FixedForm]
        | forms.BaseFormSet[HeightForm]
        | forms.BaseFormSet[ElectricalForm]
    )

WallFormSet = _rows(WallForm, WallRows)
OpeningFormSet = _rows(OpeningForm)
FixedFormSet = _rows(FixedForm)
HeightFormSet = _rows(HeightForm)
ElectricalFormSet = _rows(ElectricalForm)
