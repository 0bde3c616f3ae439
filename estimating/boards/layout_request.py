"""What a layout is asked for: one board on one surface, with the rules and the installer's choices for it."""

import hashlib
from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import NamedTuple

from catalog.assemblies.specs import MaterialSpec
from estimating.boards.surfaces import RoomSurface
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.layout import LayoutPreferences
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.surface import Axis, Corner

# Part of every key. Raise it when the same surface would be laid otherwise: layouts saved under the old
# number are then left alone.
EDITION = 8


class SurfaceRef(NamedTuple):
    """One board on one surface of a room: the key of the room, and the codes of the surface and the board."""

    room: str
    surface: str
    board: str


@dataclass(frozen=True)
class LayoutChoice:
    """What the installer decided about one board on one surface; None leaves it to the search.

    `extra` counts sheets bought on top of the layout, for example for one that breaks.
    """

    corner: Corner | None = None
    along: Axis | None = None
    first_width_nm: int | None = None
    first_piece_nm: int | None = None
    extra: int = 0


NO_CHOICE = LayoutChoice()


@dataclass(frozen=True)
class LayoutRequest:
    """One board to be laid on one surface of a room, with the rules and choices for it."""

    room: str
    room_name: str
    room_surface: RoomSurface
    board: MaterialSpec
    sheet: Sheet
    rules: SheetRules
    choice: LayoutChoice

    @property
    def surface_ref(self) -> SurfaceRef:
        return SurfaceRef(self.room, self.room_surface.code, self.board.code)

    @property
    def name(self) -> str:
        surface = self.room_surface.name
        return f"{self.room_name}, {surface[0].lower()}{surface[1:]}"

    @property
    def preferences(self) -> LayoutPreferences:
        """Return the choice as the search takes it.

        Boards on walls begin at the top unless the installer chose a corner, so that the cut edge is at the
        floor (common practice).
        """
        choice = self.choice
        corner = choice.corner or ("nw" if self.room_surface.is_wall else "sw")
        return LayoutPreferences(choice.along, corner, choice.first_width_nm, choice.first_piece_nm)

    @cached_property
    def key(self) -> str:
        """Return a hash of everything that the layout depends on.

        Saved layouts are found by it, so its text must stay the same for the same values: it keeps the
        class names of the time when layouts were first saved.
        """
        surface = self.room_surface.surface
        slanting_top = ("level",) if surface.level and not surface.rectilinear else ()
        framing = (repr(tuple(surface.framing)),) if surface.framing else ()
        clear_of = (f"clear of {tuple(surface.clear_of)}",) if surface.clear_of else ()
        rows = self.rules.row_spacing_nm
        rows_apart = (f"rows {rows}",) if rows != self.rules.fastener_spacing_nm else ()
        values = (
            repr(EDITION),
            *slanting_top,
            *framing,
            *clear_of,
            *rows_apart,
            repr(surface.ring),
            repr(surface.holes),
            _repr_named("Sheet", self.sheet),
            _repr_named("SheetRules", self.rules),
            _repr_named("Wishes", self.preferences),
        )
        return hashlib.sha256(f"({', '.join(values)})".encode()).hexdigest()

    @property
    def without_choices(self) -> "LayoutRequest":
        """Return the same request with everything left to the search."""
        return replace(self, choice=NO_CHOICE)


def _repr_named(name: str, values: Sheet | SheetRules | LayoutPreferences) -> str:
    """Return the repr of a dataclass under a given class name."""
    names = (value.name for value in fields(values) if value.name != "framing_nm")
    listed = ", ".join(f"{name}={getattr(values, name)!r}" for name in names)
    return f"{name}({listed})"
