"""What was typed of a room, word for word, so that its form comes back as it was typed.

An entry is plain JSON: `room` maps the name of a field to its text; `walls`, `openings`, `fixed`,
`heights` and `electrical` are lists of rows that do the same.
"""

from decimal import Decimal
from typing import Any

from django import forms

from catalog.measures.lengths import UnreadableLength, format_length, parse_length
from estimating.cabinets.units import Unit, units_typed
from estimating.forms.room_rows import MOST_ROWS, ROW_FORMS, Turn
from estimating.models import FixedFootprint, Opening, Room
from estimating.rooms.outline import wall_letter

Entry = dict[str, Any]
ROWS = ("walls", "openings", "fixed", "heights", "electrical")
SPARE = {"walls": 3, "openings": 1, "fixed": 1, "heights": 1, "electrical": 1}
LEAST_WALL_ROWS = 12


def typed_in(form: forms.Form) -> dict[str, Any]:
    """Return the texts and ticks of a bound form by field."""
    return {name: form[name].data or "" for name in form.fields}


def with_spare_rows(entry: Entry) -> Entry:
    """Return the entry with empty rows to type in, as many as a page without script needs.

    Those that were left empty the last time don't come back.
    """
    rows = {name: [*_filled(name, entry), *({} for _ in range(SPARE[name]))] for name in ROWS}
    rows["walls"] += [{} for _ in range(LEAST_WALL_ROWS - len(rows["walls"]))]
    return {**entry, "room": entry.get("room", {}), **rows}


def _filled(name: str, entry: Entry) -> list[dict[str, Any]]:
    counting = ROW_FORMS[name].texts
    return [row for row in entry.get(name, []) if any(str(row.get(text) or "").strip() for text in counting)]


def with_rows_changed(entry: Entry, change: str) -> Entry:
    """Return the entry after a change of its rows: "walls add", "walls insert 3", "openings remove 0".

    A change that can't be read, or one row too many, changes nothing.
    """
    name, _, rest = change.partition(" ")
    action, _, number = rest.partition(" ")
    if name not in ROWS:
        return entry
    rows = list(entry.get(name, []))
    if action in ("add", "insert") and len(rows) >= MOST_ROWS:
        return entry
    if action == "add":
        rows.append({})
    elif number.isascii() and number.isdigit() and int(number) < len(rows):
        if action == "insert":
            rows.insert(int(number), {})
        elif action == "remove":
            del rows[int(number)]
    return {**entry, name: rows}


def entry_of(room: Room, metric: bool = False) -> Entry:
    """Return what was typed of a stored room.

    Where it was typed in other units, or the room was stored without the form, the texts are made from the
    stored lengths.
    """
    entry: Entry = room.entry
    if "room" in entry and entry.get("metric", False) == metric:
        return entry
    return {
        "metric": metric,
        "room": {
            "name": room.name,
            "shape": Room.Shape.WALK,
            "height": _text(room.height_nm, metric),
            "balanced": room.balanced,
            "device_boxes": str(room.device_boxes),
            "ceiling_lights": str(room.ceiling_lights),
            **_framing(room, metric),
            "notes": room.notes,
        },
        "walls": _wall_rows(room, metric),
        "openings": [_opening_row(opening, metric) for opening in room.openings.all()],
        "fixed": [_fixed_row(footprint, metric) for footprint in room.footprints.all()],
        "heights": [
            {
                "wall": wall_letter(wall),
                "offset": _text(along_nm, metric),
                "height": _text(height_nm, metric),
            }
            for wall, along_nm, height_nm in room.heights
        ],
        "electrical": [
            {
                "kind": kind,
                "wall": wall_letter(wall),
                "offset": _text(along_nm, metric),
                "away": _text(away_nm, metric),
            }
            for kind, wall, along_nm, away_nm in room.electrical
        ],
    }


def entry_as_walk(room: Room, metric: bool = False) -> Entry:
    """Return what was typed of a stored room, a rectangle or an L as its walls one after another."""
    entry = entry_of(room, metric)
    if entry["room"]["shape"] == Room.Shape.WALK:
        return entry
    shaped = {"shape": Room.Shape.WALK, "length": "", "width": "", "cut_length": "", "cut_width": ""}
    return {**entry, "room": {**entry["room"], **shaped}, "walls": _wall_rows(room, metric)}


def _framing(room: Room, metric: bool) -> dict[str, str]:
    names = {"studs": "stud", "joists": "joist", "floor": "floor"}
    texts = {}
    for members, (spacing_nm, first_nm, *along) in room.framing.items():
        name = names[members]
        texts[f"{name}_spacing"] = _text(spacing_nm, metric)
        if first_nm is not None:
            texts[f"{name}_first"] = _text(first_nm, metric)
        if any(along):
            texts[f"{name}_run"] = "along"
    return texts


def _wall_rows(room: Room, metric: bool) -> list[dict[str, str]]:
    return [{"length": _text(length_nm, metric), **_turn(Decimal(turn))} for length_nm, turn in room.legs]


def _opening_row(opening: Opening, metric: bool) -> Entry:
    return {
        "kind": opening.kind,
        "wall": wall_letter(opening.wall),
        "width": _text(opening.width_nm, metric),
        "height": _text(opening.height_nm, metric),
        "sill": _text(opening.sill_nm, metric),
        "offset": _text(opening.offset_nm, metric),
        "recess": _text(opening.recess_nm or None, metric),
        "name": opening.name,
    }


def _fixed_row(footprint: FixedFootprint, metric: bool) -> Entry:
    return {
        "kind": footprint.kind,
        "wall": "" if footprint.wall is None else wall_letter(footprint.wall),
        "length": _text(footprint.length_nm, metric),
        "depth": _text(footprint.depth_nm, metric),
        "height": _text(footprint.height_nm, metric),
        "offset": _text(footprint.offset_nm, metric),
        "off_wall": _text(footprint.off_wall_nm, metric),
        "name": footprint.name,
        "off_floor": footprint.off_floor,
        "off_base": footprint.off_base,
        "off_walls": footprint.off_walls,
        "units": units_typed([Unit(*unit) for unit in footprint.units], metric),
        "finished_ends": footprint.finished_ends,
        "bottom": _text(footprint.bottom_nm, metric),
        "overhang": _text(footprint.overhang_nm, metric),
        "seat_overhang": _text(footprint.seat_overhang_nm, metric),
        "tile_to": _text(footprint.tile_to_nm, metric),
    }


def _turn(turn: Decimal) -> dict[str, str]:
    """Return the fields of a turn in degrees, right positive."""
    whole = {Decimal(90): Turn.RIGHT, Decimal(-90): Turn.LEFT, Decimal(0): Turn.STRAIGHT}
    if turn in whole:
        return {"turn": whole[turn].value, "degrees": ""}
    return {"turn": (Turn.RIGHT_BY if turn > 0 else Turn.LEFT_BY).value, "degrees": f"{abs(turn):f}"}


def _text(length_nm: int | None, metric: bool) -> str:
    """Return a length as text that reads back exactly: as a tape shows it, or else in millimeters."""
    if length_nm is None:
        return ""
    shown = format_length(length_nm, metric)
    try:
        exact = parse_length(shown, allow_zero=True) == length_nm
    except UnreadableLength:
        exact = False
    return shown if exact else f"{Decimal(length_nm).scaleb(-6):f} mm"
