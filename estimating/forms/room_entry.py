"""What was typed of a room, word for word, so that its form comes back as it was typed.

An entry is plain JSON: `room` maps a field to its text, `walls`, `openings` and `fixed` are lists of such.
"""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.measures.units import UnreadableLength, format_length, parse_length
from estimating.forms.room_rows import MOST_ROWS, Turn
from estimating.models import Room
from estimating.rooms.measures import wall_letter

Entry = dict[str, Any]
ROWS = ("walls", "openings", "fixed")
SPARE = {"walls": 3, "openings": 1, "fixed": 1}
LEAST_WALL_ROWS = 12


def typed_in(form: forms.Form) -> dict[str, Any]:
    """The texts and ticks of a bound form."""
    return {name: form[name].data or "" for name in form.fields}


def with_spare_rows(entry: Entry) -> Entry:
    """The entry with empty rows to type in, as many as a page without script needs."""
    rows = {name: [*entry.get(name, []), *({} for _ in range(SPARE[name]))] for name in ROWS}
    rows["walls"] += [{} for _ in range(LEAST_WALL_ROWS - len(rows["walls"]))]
    return {**entry, "room": entry.get("room", {}), **rows}


def with_rows_changed(entry: Entry, change: str) -> Entry:
    """The entry after a change of its rows: "walls add", "walls insert 3", "openings remove 0".

    A change that can't be read, or one row too many, leaves all as it is.
    """
    name, _, rest = change.partition(" ")
    act, _, number = rest.partition(" ")
    if name not in ROWS:
        return entry
    rows = list(entry[name])
    if act in ("add", "insert") and len(rows) >= MOST_ROWS:
        return entry
    if act == "add":
        rows.append({})
    elif number.isascii() and number.isdigit() and int(number) < len(rows):
        if act == "insert":
            rows.insert(int(number), {})
        elif act == "remove":
            del rows[int(number)]
    return {**entry, name: rows}


def entry_of(room: Room, metric: bool = False) -> Entry:
    """What was typed of a stored room; in our words where it was typed in other units,
    or came by another way."""
    if "room" in room.entry and room.entry.get("metric", False) == metric:
        return room.entry
    return {
        "metric": metric,
        "room": {
            "name": room.name,
            "shape": Room.Shape.WALK,
            "height": _text(room.height_nm, metric),
            "balanced": room.balanced,
            "device_boxes": str(room.device_boxes),
            "ceiling_lights": str(room.ceiling_lights),
            "notes": room.notes,
        },
        "walls": [
            {"length": _text(length_nm, metric), **_turn(Decimal(turn))} for length_nm, turn in room.legs
        ],
        "openings": [
            {
                "kind": each.kind,
                "wall": wall_letter(each.wall),
                "width": _text(each.width_nm, metric),
                "height": _text(each.height_nm, metric),
                "sill": _text(each.sill_nm, metric),
                "offset": _text(each.offset_nm, metric),
                "recess": _text(each.recess_nm or None, metric),
                "name": each.name,
            }
            for each in room.openings.all()
        ],
        "fixed": [
            {
                "kind": each.kind,
                "wall": "" if each.wall is None else wall_letter(each.wall),
                "length": _text(each.length_nm, metric),
                "depth": _text(each.depth_nm, metric),
                "height": _text(each.height_nm, metric),
                "offset": _text(each.offset_nm, metric),
                "name": each.name,
                "off_floor": each.off_floor,
                "off_base": each.off_base,
                "off_walls": each.off_walls,
            }
            for each in room.footprints.all()
        ],
    }


def _turn(turn: Decimal) -> dict[str, str]:
    whole = {Decimal(90): Turn.RIGHT, Decimal(-90): Turn.LEFT, Decimal(0): Turn.STRAIGHT}
    if turn in whole:
        return {"turn": whole[turn].value, "degrees": ""}
    return {"turn": (Turn.RIGHT_BY if turn > 0 else Turn.LEFT_BY).value, "degrees": f"{abs(turn):f}"}


def _text(length_nm: int | None, metric: bool) -> str:
    """A length as text that reads back exactly: as a tape shows it, or else in millimeters."""
    if length_nm is None:
        return ""
    shown = format_length(length_nm, metric)
    try:
        exact = parse_length(shown, allow_zero=True) == length_nm
    except UnreadableLength:
        exact = False
    return shown if exact else f"{Decimal(length_nm).scaleb(-6):f} mm"
