"""The form of one room: its name and shape, walls and all that stands on them, checked together.

And that of the floor under its tile.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

from django import forms
from django.db import transaction
from django.forms.formsets import INITIAL_FORM_COUNT, TOTAL_FORM_COUNT
from django.http import QueryDict

from catalog.fields.form import CountField, LengthField
from catalog.forms.model_form import set_plain_messages
from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH, format_length
from estimating.cabinets.units import width_in_words
from estimating.floor_structure.floor import FINISHES
from estimating.floor_structure.lumber import DEPTHS_IN, GRADES, SPECIES
from estimating.floor_structure.tile_weight import LEAST_TILE_IN, MOST_TILE_IN, UNDER
from estimating.forms.room_entry import ROWS, Entry, typed_in
from estimating.forms.room_rows import (
    ROW_FORMS,
    ElectricalFormSet,
    FixedFormSet,
    HeightFormSet,
    OpeningForm,
    OpeningFormSet,
    Row,
    RowForm,
    WallFormSet,
)
from estimating.models import FixedFootprint, Opening, Room
from estimating.rooms.electrical import counted
from estimating.rooms.faults import BadCount, NoSuchWall, plan_faults
from estimating.rooms.outline import (
    BadLength,
    BadTurn,
    CrossingWalls,
    DoesNotClose,
    Leg,
    PlanError,
    wall_letter,
)
from estimating.rooms.plan import RoomPlan, l_shape, rectangle, room_outline
from saving.forms import MergesEdits, as_query, as_texts, conflict_in_words, read_opened, shown, stored_texts
from saving.merge import Texts, merge, merge_rows, plain

if TYPE_CHECKING:
    from estimating.forms.room_rows import RoomFormSet

MOST_BARE_HEIGHT_NM = 20 * NM_PER_FOOT  # invented: above it, inches or centimeters are meant
_YOURS = "were changed meanwhile, to: {}. Yours stand here: save again to keep yours."
ROWS_CHANGED = {
    "walls": f"The walls {_YOURS}",
    "openings": f"Doors and windows {_YOURS}",
    "fixed": f"Fixed things {_YOURS}",
    "heights": f"The heights {_YOURS}",
    "electrical": f"The boxes and lights {_YOURS}",
}
JOISTS_RUN = [("across", "across from wall A"), ("along", "along wall A")]
FRAMING = {
    "studs": ("stud_spacing", "stud_first"),
    "ceiling joists": ("joist_spacing", "joist_first"),
    "floor joists": ("floor_spacing", "floor_first"),
}
LEAST_SPACING_NM, MOST_SPACING_NM = 6 * NM_PER_INCH, 24 * NM_PER_INCH
LEAST_SPAN_NM, MOST_SPAN_NM = 3 * NM_PER_FOOT, 26 * NM_PER_FOOT  # as far as span tables go
_ASKED_OF_JOISTS = {
    "size": "Choose the size of the joists.",
    "spacing": "Type how far the joists are apart, center to center, such as 16.",
    "span": "Type how far the joists span, from support to support, such as 11' 6\".",
    "species": "Choose the kind of wood; where you can't tell, ask or look for a stamp on a joist.",
    "grade": "Choose the grade; it's stamped on the joist. No. 2 is usual.",
}
LENGTHS_OF = {
    Room.Shape.RECTANGLE: ("length", "width"),
    Room.Shape.L: ("length", "width", "cut_length", "cut_width"),
    Room.Shape.WALK: (),
}


class RoomForm(forms.Form):
    """Everything of a room except its rows. Lengths of other shapes than the chosen one aren't checked."""

    name = forms.CharField(label="Room", max_length=80)
    shape = forms.ChoiceField(
        label="Shape", choices=Room.Shape, widget=forms.RadioSelect, initial=Room.Shape.RECTANGLE
    )
    length = LengthField(label="Length", required=False)
    width = LengthField(label="Width", required=False)
    cut_length = LengthField(label="Length of the cut-out", required=False)
    cut_width = LengthField(label="Width of the cut-out", required=False)
    balanced = forms.BooleanField(label="Balance the difference over the walls", required=False)
    height = LengthField(label="Ceiling height")
    device_boxes = CountField(label="Switches and outlets", required=False, initial="0")
    ceiling_lights = CountField(label="Ceiling lights", required=False, initial="0")
    stud_spacing = LengthField(label="Studs, every", required=False, bare="in")
    stud_first = LengthField(label="First, from the left", required=False, bare="in")
    joist_spacing = LengthField(label="Ceiling joists, every", required=False, bare="in")
    joist_first = LengthField(label="First, from A", required=False, bare="in")
    joist_run = forms.ChoiceField(label="Ceiling joists run", choices=JOISTS_RUN, required=False)
    floor_spacing = LengthField(label="Floor joists, every", required=False, bare="in")
    floor_first = LengthField(label="First, from A", required=False, bare="in")
    floor_run = forms.ChoiceField(label="Floor joists run", choices=JOISTS_RUN, required=False)
    notes = forms.CharField(
        label="Notes", max_length=2000, required=False, widget=forms.Textarea(attrs={"rows": 3})
    )

    def __init__(self, *args: Any, metric: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.fields["name"].error_messages["required"] = "Type what the room is called."
        self.fields["height"].error_messages["required"] = "Type the ceiling height."
        if metric:
            for field in self.fields.values():
                if isinstance(field, LengthField):
                    field.use_metric("cm" if field.bare == "in" else "m")

    def clean_height(self) -> int | None:
        """Refuse a number without a mark that would make a hall: a tape shows 96 for a ceiling of 8 ft."""
        height_nm: int | None = self.cleaned_data["height"]
        typed, field = self["height"].value().strip(), self.fields["height"]
        assert isinstance(field, LengthField)
        if height_nm and height_nm > MOST_BARE_HEIGHT_NM and re.fullmatch(r"[\d.,]+", typed):
            large, small = ("m", "cm") if field.metric else ("ft", "in")
            raise forms.ValidationError(
                f"{typed} without a mark would be {typed} {large}. Type {typed} {small}, or {typed} {large} "
                "if it is as high as that."
            )
        return height_nm

    @property
    def shape_chosen(self) -> str:
        """The shape as typed; anything unknown counts as the first."""
        typed = self["shape"].value()
        return typed if typed in Room.Shape.values else Room.Shape.RECTANGLE.value

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        own = LENGTHS_OF[Room.Shape(self.shape_chosen)]
        for name in LENGTHS_OF[Room.Shape.L]:
            if name not in own and name in self.errors:
                del self.errors[name]
            elif name in own and name not in self.errors and cleaned.get(name) is None:
                self.add_error(name, f"Type the {str(self.fields[name].label).lower()}.")
        for member, (spacing, first) in FRAMING.items():
            self._check_framing(member, spacing, first)
        return cleaned

    def _check_framing(self, members: str, spacing: str, first: str) -> None:
        """Refuse a spacing that nobody frames by, and a first one without a spacing or farther than that."""
        spacing_nm, first_nm = self.cleaned_data.get(spacing), self.cleaned_data.get(first)
        field = self.fields[spacing]
        assert isinstance(field, LengthField)
        if spacing_nm and not LEAST_SPACING_NM <= spacing_nm <= MOST_SPACING_NM:
            least, most = (width_in_words(end, field.metric) for end in (LEAST_SPACING_NM, MOST_SPACING_NM))
            sentence = f"{members.capitalize()} are {least} to {most} apart, center to center."
            self.add_error(spacing, sentence)
        elif first_nm and not spacing_nm and spacing not in self.errors:
            sentence = f"Type how far the {members} are apart too, center to center, such as 16 in."
            self.add_error(spacing, sentence)
        elif first_nm and spacing_nm and first_nm > spacing_nm:
            self.add_error(
                first,
                f"The first is at most one space away, {width_in_words(spacing_nm, field.metric)} here.",
            )

    def framing(self) -> dict[str, list[int | bool | None]]:
        """Return studs and joists as a room keeps them."""
        typed = self.cleaned_data
        runs = {"joists": typed.get("joist_run"), "floor": typed.get("floor_run")}
        return {
            kept: [typed[spacing], typed.get(first), *([True] if runs.get(kept) == "along" else [])]
            for kept, (spacing, first) in zip(("studs", "joists", "floor"), FRAMING.values(), strict=True)
            if typed.get(spacing)
        }

    def legs(self) -> tuple[Leg, ...]:
        """Return the walls of a rectangle or an L. Only of lengths that are valid; raises BadLength."""
        shape = Room.Shape(self.shape_chosen)
        lengths = [self.cleaned_data[name] for name in LENGTHS_OF[shape]]
        return rectangle(*lengths) if shape == Room.Shape.RECTANGLE else l_shape(*lengths)


class RoomForms:
    """The forms of a room, bound to what was posted, or unbound and filled from an entry.

    `stored` is what a browser would send of the room as it is stored, had nobody typed in its forms: posted
    data that says what its page began with is merged with it, and `conflicts` names what both sides changed.
    """

    def __init__(
        self,
        *,
        metric: bool,
        data: Mapping[str, str] | None = None,
        entry: Entry | None = None,
        stored: Texts | None = None,
    ) -> None:
        self.metric = metric
        self.stored = stored or {}
        self.conflicts: tuple[str, ...] = ()
        if data is not None:
            data = _with_every_list(data, self.stored)
            if stored and (opened := read_opened(data)):
                data = self._merged(as_texts(data), opened)
        entry = entry or {}
        self.room = RoomForm(data, metric=metric, initial=entry.get("room"))
        self.walls = WallFormSet(
            data, prefix="walls", initial=entry.get("walls"), form_kwargs={"metric": metric}
        )
        kwargs = {"metric": metric, "wall_count": self.walls.total_form_count()}
        self.openings = OpeningFormSet(
            data, prefix="openings", initial=entry.get("openings"), form_kwargs=kwargs
        )
        self.fixed = FixedFormSet(data, prefix="fixed", initial=entry.get("fixed"), form_kwargs=kwargs)
        self.heights = HeightFormSet(data, prefix="heights", initial=entry.get("heights"), form_kwargs=kwargs)
        self.electrical = ElectricalFormSet(
            data, prefix="electrical", initial=entry.get("electrical"), form_kwargs=kwargs
        )
        self.typed = self._typed() if data is not None else entry
        if data is not None and not self.is_walk:
            # what is left in rows that the shape doesn't use is kept, but not checked
            self.walls = WallFormSet(
                prefix="walls", initial=self.typed["walls"], form_kwargs={"metric": metric}
            )

    def _merged(self, mine: Texts, opened: Texts) -> QueryDict:
        """Return what was posted merged with what is stored, the lists of rows each as a whole."""
        room = merge(mine, _without_rows(opened), _without_rows(self.stored))
        texts, conflicts = room.texts, [*room.conflicts]
        for rows, form in ROW_FORMS.items():
            merged = merge_rows(texts, opened, self.stored, rows, form.texts)
            texts = merged.texts
            conflicts += merged.conflicts
        self.conflicts = tuple(conflicts)
        return as_query(texts)

    def as_stored(self) -> Texts:
        return self.stored

    def texts(self) -> dict[str, list[str]]:
        """Return what a browser would send of these forms, filled from an entry, had nobody typed in them."""
        texts = {bound.html_name: stored_texts(bound) for bound in self.room}
        for formset in (self.walls, *self._on_walls):
            for name in (TOTAL_FORM_COUNT, INITIAL_FORM_COUNT):
                texts[f"{formset.prefix}-{name}"] = [str(formset.total_form_count())]
            texts |= {bound.html_name: stored_texts(bound) for form in formset for bound in form}
        return texts

    @property
    def is_walk(self) -> bool:
        return self.room.shape_chosen == Room.Shape.WALK

    def _typed(self) -> Entry:
        rows = {name: [typed_in(form) for form in getattr(self, name)] for name in ROWS}
        return {"metric": self.metric, "room": typed_in(self.room), **rows}

    @property
    def formsets(self) -> "tuple[RoomFormSet, ...]":
        """The sets of rows that count for the chosen shape."""
        return (self.walls, *self._on_walls) if self.is_walk else self._on_walls

    @property
    def _on_walls(self) -> "tuple[RoomFormSet, ...]":
        return (self.openings, self.fixed, self.heights, self.electrical)

    def read(self) -> bool:
        """Read every field, and return whether each can be read by itself."""
        valid = [self.room.is_valid(), *(formset.is_valid() for formset in self.formsets)]
        return all(valid)

    @property
    def unread_rows(self) -> int:
        """How many rows count but can't be read."""
        rows = [form for formset in self.formsets for form in formset]
        return sum(form.has_changed() and not form.is_valid() for form in rows)

    def is_valid(self) -> bool:
        """Return whether they make a room together; each fault is added as an error of its field."""
        if not (self.read() and self._agrees()):
            return False
        try:
            faults = list(plan_faults(self.plan, self.metric))
        except PlanError as fault:
            faults = [fault]
        faults += list(self._count_faults())
        # All are located first: a row with an error no longer counts among those that can be read.
        for form, field, sentence in [self._locate(fault) for fault in faults]:
            form.add_error(field, sentence)
        return not faults

    def _count_faults(self) -> Iterator[PlanError]:
        """Yield where fewer boxes or lights are counted than have their place; none is as many as those."""
        placed = counted(form.place() for form in _filled(self.electrical))
        for count, name in zip(placed, ("device_boxes", "ceiling_lights"), strict=True):
            if 0 < (self.room.cleaned_data.get(name) or 0) < count:
                sentence = f"{count} have their place below: type {count} or more, or remove places."
                yield BadCount(sentence, name)

    def _agrees(self) -> bool:
        """Return whether nobody else changed what was changed here; a conflict is an error of its field."""
        bound_forms = [self.room, *(form for formset in self.formsets for form in formset)]
        fields = {bound.html_name: (form, bound) for form in bound_forms for bound in form}
        for name in self.conflicts:
            if name in fields:
                form, bound = fields[name]
                form.add_error(bound.name, conflict_in_words(shown(bound, self.stored.get(name, ()))))
            elif name in ROWS:
                self.room.add_error(None, ROWS_CHANGED[name].format(self.stored_rows(name)))
        return not self.conflicts

    def stored_rows(self, name: str) -> str:
        """Return the rows of a list as they are stored, in words; "none" where there is none."""
        counting = {"wall", *ROW_FORMS[name].texts}
        rows: dict[str, list[str]] = {}
        for field, texts in self.stored.items():
            prefix, _, rest = field.partition("-")
            number, _, column = rest.partition("-")
            if prefix == name and column in counting:
                rows.setdefault(number, []).extend(plain(texts))
        return "; ".join(" ".join(texts) for texts in rows.values() if len(texts) > 1) or "none"

    @property
    def legs(self) -> tuple[Leg, ...]:
        """The walls. Raises KeyError where not all are typed, PlanError where they can't be."""
        if not self.is_walk:
            return self.room.legs()
        if not self.walls.is_valid():
            raise KeyError("walls")
        return tuple(form.leg() for form in _filled(self.walls))

    @property
    def plan(self) -> RoomPlan:
        """The plan of the room, with the rows that can be read. Raises as `legs` does."""
        return self._fill(Room()).plan_with(self._openings(), self._fixed())

    @transaction.atomic
    def save(self, room: Room) -> Room:
        """Store the room with its rows in place of those it had. Only when valid."""
        self._fill(room).save()
        openings, footprints = self._openings(), self._fixed()
        for opening in openings:
            opening.room = room
        for footprint in footprints:
            footprint.room = room
        room.openings.all().delete()
        room.openings.bulk_create(openings)
        room.footprints.all().delete()
        room.footprints.bulk_create(footprints)
        return room

    def _fill(self, room: Room) -> Room:
        """Set the columns of a room from what was typed, and return it."""
        typed = self.room.cleaned_data
        room.name = typed.get("name", "")
        room.shape = self.room.shape_chosen
        room.entry = self.typed
        room.legs = [[leg.length_nm, str(leg.turn)] for leg in self.legs]
        room.height_nm = typed.get("height", 0)
        points = [form.point() for form in _filled(self.heights)]
        room.heights = [[point.wall, point.along_nm, point.height_nm] for point in points]
        places = [form.place() for form in _filled(self.electrical)]
        room.electrical = [[place.kind, place.wall, place.along_nm, place.away_nm] for place in places]
        boxes, lights = counted(places)
        room.device_boxes = typed.get("device_boxes") or boxes
        room.ceiling_lights = typed.get("ceiling_lights") or lights
        room.balanced = self.is_walk and typed.get("balanced", False)
        room.framing = self.room.framing()
        room.notes = typed.get("notes", "")
        return room

    def _openings(self) -> list[Opening]:
        return [form.opening() for form in _filled(self.openings)]

    def _fixed(self) -> list[FixedFootprint]:
        return [form.footprint() for form in _filled(self.fixed)]

    def _locate(self, fault: PlanError) -> tuple[forms.Form, str, str]:
        """Return the form and field that a fault belongs to, and its sentence there."""
        subject, number, column = [*fault.field.split(" "), "", ""][:3]
        if subject in self.room.fields:
            return self.room, subject, str(fault)
        if subject in ("wall", "walls"):
            return *self._locate_wall(fault, number), str(fault)
        rows: list[RowForm]
        if subject == "opening":
            rows = [*_filled(self.openings)]
        elif subject in ("heights", "electrical"):
            rows = [*_filled(getattr(self, subject))]
        else:
            rows = [row for row in _filled(self.fixed) if row.subject == subject.removesuffix("s")]
        row = rows[int(number) - 1 if number else -1]
        if column:
            return row, column, str(fault)
        if isinstance(fault, NoSuchWall):
            last = wall_letter(len(self.legs) - 1)
            return row, "wall", f"This room has no wall {row['wall'].value()}: its walls are A to {last}."
        return row, self._field_of(fault, row), str(fault)

    def _locate_wall(self, fault: PlanError, number: str) -> tuple[forms.Form, str]:
        """Return the form and field that a fault of the walls belongs to."""
        if not self.is_walk:
            return self.room, "cut_length"
        if isinstance(fault, DoesNotClose):
            return self.room, "balanced"
        rows = _filled(self.walls)
        if isinstance(fault, CrossingWalls):
            return rows[max(fault.walls)], "length"
        if not number:
            return self.walls.forms[min(len(rows), len(self.walls.forms) - 1)], "length"
        row = rows[int(number) - 1]
        by_degrees = row.cleaned_data.get("degrees") is not None
        return row, "degrees" if isinstance(fault, BadTurn) and by_degrees else "length"

    def _field_of(self, fault: PlanError, row: RowForm) -> str:
        """Return which field of a row a fault is about: its height, its position on the wall, its length."""
        typed, ceiling_nm = row.cleaned_data, self.room.cleaned_data["height"]
        along = "width" if isinstance(row, OpeningForm) else "length"
        height_nm = typed["height"]
        if height_nm is None:
            return "height" if isinstance(fault, BadLength) else along
        if height_nm + (typed.get("sill") or 0) > ceiling_nm:
            return "height"
        if isinstance(fault, BadLength) and typed.get("recess"):
            return "recess"
        wall, offset_nm = typed["wall"], typed["offset"]
        fits = wall is not None and typed[along] <= room_outline(self.plan).lengths_nm[wall]
        return "offset" if fits and offset_nm is not None else along


class FloorForm(MergesEdits, forms.Form):
    """All of the joists is known, or nothing: left empty, the floor isn't judged."""

    size = forms.ChoiceField(
        label="Joists", choices=[("", "not known"), *((size, size) for size in DEPTHS_IN)], required=False
    )
    spacing = LengthField(label="Center to center", bare="in", required=False)
    span = LengthField(label="Span", required=False)
    species = forms.ChoiceField(label="Wood", choices=[("", "not known"), *SPECIES.items()], required=False)
    grade = forms.ChoiceField(label="Grade", choices=[("", "not known"), *GRADES.items()], required=False)
    finish = forms.ChoiceField(label="What is laid", choices=[*FINISHES.items()])
    thickness = LengthField(label="How thick it is", bare="in")
    under = forms.ChoiceField(label="On", choices=[(code, words) for code, (words, *_) in UNDER.items()])

    def __init__(self, *args: Any, room: Room, metric: bool, **kwargs: Any) -> None:
        kept = {name.removesuffix("_nm"): value for name, value in room.joists.items()}
        blank = {"thickness": NM_PER_INCH * 3 // 8, "finish": "tile", "under": "board-1/2"}
        kwargs["initial"] = {**blank, **kept}
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        self.metric = metric
        for field in self.fields.values():
            if metric and isinstance(field, LengthField):
                field.use_metric("m" if field.label == "Span" else "cm")

    def clean_thickness(self) -> int | None:
        least, most = (int(inches * NM_PER_INCH) for inches in (LEAST_TILE_IN, MOST_TILE_IN))
        return self._within("thickness", least, most)

    def clean_spacing(self) -> int | None:
        return self._within("spacing", LEAST_SPACING_NM, MOST_SPACING_NM)

    def clean_span(self) -> int | None:
        return self._within("span", LEAST_SPAN_NM, MOST_SPAN_NM)

    def _within(self, name: str, least_nm: int, most_nm: int) -> int | None:
        length_nm: int | None = self.cleaned_data[name]
        if length_nm is not None and not least_nm <= length_nm <= most_nm:
            least, most = format_length(least_nm, self.metric), format_length(most_nm, self.metric)
            raise forms.ValidationError(f"This is judged from {least} to {most}: beyond, ask an engineer.")
        return length_nm

    def clean(self) -> dict[str, Any]:
        super().clean()
        typed = self.cleaned_data
        if any(typed.get(name) or name in self.errors for name in _ASKED_OF_JOISTS):
            for name, sentence in _ASKED_OF_JOISTS.items():
                if not typed.get(name) and name not in self.errors:
                    self.add_error(name, sentence)
        return typed

    def joists(self) -> dict[str, Any]:
        """Return what is kept with the room; empty where nothing is known. Only of a valid form."""
        typed = self.cleaned_data
        if not typed["size"]:
            return {}
        lengths = {f"{name}_nm": typed[name] for name in ("spacing", "span", "thickness")}
        return {**{name: typed[name] for name in ("size", "species", "grade", "finish", "under")}, **lengths}


def _without_rows(side: Texts) -> dict[str, Sequence[str]]:
    return {name: texts for name, texts in side.items() if name.partition("-")[0] not in ROWS}


def _with_every_list(data: Mapping[str, str], stored: Texts) -> Mapping[str, str]:
    """Return what was posted, and as stored or empty the lists of rows that its page didn't have."""
    absent = [name for name in ROWS if f"{name}-{TOTAL_FORM_COUNT}" not in data]
    if not absent:
        return data
    texts = QueryDict(mutable=True)
    texts.update(data)
    for name in absent:
        for count in (TOTAL_FORM_COUNT, INITIAL_FORM_COUNT):
            texts[f"{name}-{count}"] = "0"
    for field, kept in stored.items():
        if field.partition("-")[0] in absent:
            texts.setlist(field, list(kept))
    return texts


def _filled(rows: "forms.BaseFormSet[Row]") -> list[Row]:
    """Return the rows that count and can be read."""
    return [form for form in rows.forms if form.has_changed() and form.is_valid()]
