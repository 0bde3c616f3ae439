"""A room measured on the phone, read by the form of its page and merged with what was saved since."""

from django.forms import BoundField, Form
from django.http import HttpRequest
from django.utils import timezone

from catalog.models import Firm
from catalog.rows.ordering import next_position
from estimating.forms.room_entry import entry_as_walk, with_spare_rows
from estimating.forms.room_rows import RowForm, WallForm
from estimating.forms.rooms import RoomForms
from estimating.models import Job, Room, RoomPhoto, wall_index
from phone.models import RoomOfRecord
from phone.records.answer import RefusedRecord, refused_form
from phone.records.photo_form import RoomPhotoForm
from saving.forms import as_texts, shown
from saving.once import KEY

OF_RECORD = {"kind", "job", "room", "phone", "form_key", "form_opened"}
LISTS = {
    "walls": "The walls",
    "openings": "Doors and windows",
    "fixed": "Fixed things",
    "heights": "Heights of the ceiling",
    "electrical": "Boxes and lights",
}


def save_room(request: HttpRequest) -> None:
    """Save a new room or a changed one."""
    metric = Firm.current().metric
    room = _room(request)
    stored = room_texts(room, metric) if room.pk else {}
    forms = RoomForms(metric=metric, data=request.POST, stored=stored)
    if forms.is_valid():
        is_new = room.pk is None
        forms.save(room)
        if is_new:
            RoomOfRecord.objects.create(key=request.POST[KEY][:64], room=room)
        return
    if forms.conflicts:
        raise RefusedRecord(
            "This room was changed elsewhere since you began. Choose what holds.",
            also={
                "merged": {
                    name: texts for name, texts in as_texts(forms.room.data).items() if name not in OF_RECORD
                },
                "stored": stored,
                "conflicts": [_conflict(forms, name) for name in forms.conflicts],
            },
            status=409,
        )
    raise RefusedRecord(" ".join(_sentences(forms)))


def save_room_photo(request: HttpRequest) -> None:
    """Keep a photo of a room, of its wall or of a spot there."""
    form = RoomPhotoForm(request.POST, request.FILES)
    if not form.is_valid():
        raise refused_form(form)
    typed = form.cleaned_data
    if not typed["photos"]:
        raise RefusedRecord("The photo is missing. Take it again.", {"photos": "Take the photo again."})
    RoomPhoto.keep(
        _room_of_photo(request),
        typed["photos"][0],
        form.taken_on(timezone.now()),
        wall=wall_index(typed["wall"]) if typed["wall"] else None,
        along_nm=typed["offset"],
        away_nm=typed["away"] or 0,
        caption=typed["says"],
    )


def _room_of_photo(request: HttpRequest) -> Room:
    """Return the room that a photo is of: a stored one, or the one that a record of the phone made."""
    pk, key = request.POST.get("room", ""), request.POST.get("of_record", "")
    rooms = Room.objects.select_related("job")
    room = rooms.filter(pk=pk).first() if pk.isdecimal() else None
    if room is None and (made := RoomOfRecord.objects.filter(key=key[:64]).first()):
        room = rooms.get(pk=made.room_id)
    if room is None:
        raise RefusedRecord("The room of this photo isn't here: it was deleted, or left out on the phone.")
    return room


def room_texts(room: Room, metric: bool) -> dict[str, list[str]]:
    """Return what a browser would send of a stored room, its walls one after another, had nobody typed."""
    return RoomForms(metric=metric, entry=with_spare_rows(entry_as_walk(room, metric))).texts()


def _room(request: HttpRequest) -> Room:
    """Return the room that a record is of, or a new one of its job."""
    job_pk, room_pk = request.POST.get("job", ""), request.POST.get("room", "")
    if room_pk.isdecimal():
        if room := Room.objects.select_related("job__client").filter(pk=room_pk).first():
            return room
        raise RefusedRecord(
            "This room was deleted elsewhere. Keep it as a new one, or leave it out.", also={"gone": True}
        )
    job = Job.objects.filter(pk=job_pk).first() if job_pk.isdecimal() else None
    if job is None:
        raise RefusedRecord("The job is not here any more: it was deleted. Save what you kept as a file.")
    return Room(job=job, position=next_position(job.rooms.all()))


def _conflict(forms: RoomForms, name: str) -> dict[str, str]:
    """Return the name of what both changed, how people call it, and what the other made of it."""
    if name in LISTS:
        return {"name": name, "label": LISTS[name], "theirs": forms.stored_rows(name)}
    for form in (forms.room, *(form for formset in forms.formsets for form in formset)):
        for bound in form:
            if bound.html_name == name:
                theirs = shown(bound, forms.stored.get(name, ()))
                return {"name": name, "label": _label(form, bound), "theirs": theirs}
    return {"name": name, "label": name, "theirs": " ".join(forms.stored.get(name, ()))}


def _label(form: Form, bound: BoundField) -> str:
    """Return how people call a field: that of a row with the row that it is of."""
    if isinstance(form, WallForm):
        wall = str(form.fields["length"].label)
        return wall if bound.name == "length" else f"{wall}, {bound.label}"
    if isinstance(form, RowForm):
        return f"{form.title} {int((form.prefix or '').rpartition('-')[2]) + 1}, {bound.label.lower()}"
    return str(bound.label)


def _sentences(forms: RoomForms) -> list[str]:
    """Return every error of the forms, each once, with the row that it is about."""
    found = [str(error) for errors in forms.room.errors.values() for error in errors]
    for formset in forms.formsets:
        found += [str(error) for error in formset.non_form_errors()]
        for number, form in enumerate(formset, start=1):
            for name, errors in form.errors.items():
                label = form.fields[name].label if name in form.fields else ""
                row = f"{form.title} {number}, {label}".strip(" ,") if form.title else str(label)
                found += [f"{row}: {error}" for error in errors]
    return list(dict.fromkeys(found))
