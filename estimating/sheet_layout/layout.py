"""A layout of sheets: pieces, cuts, joints and fasteners, and the measures that assemblies scale with.

Places are whole nanometers on the surface, x to the east and y to the north (on a wall: along and up). On
an oblique surface they are those of the surface turned so that its bearing is x: `Surface.on_plan` turns a
point back.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import NamedTuple

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.regions import Box, Point, Ring, has_thin_leg
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.surface import Axis, Corner, Surface


@dataclass(frozen=True)
class FixedLayout:
    """A layout as it is told: which way courses run, and what the first shows, in nanometers.

    Courses are counted from `corner`, and so is each course's first piece. `trimmed`: sheets are cut shorter
    where they would end between studs.
    """

    courses_along: Axis
    first_width_nm: int
    first_pieces_nm: tuple[int, ...]
    corner: Corner = "sw"
    trimmed: bool = False


@dataclass(frozen=True)
class LayoutPreferences:
    """What the installer wants of a layout that is otherwise left to the search; None leaves it open."""

    courses_along: Axis | None = None
    corner: Corner = "sw"
    first_width_nm: int | None = None
    first_piece_nm: int | None = None


@dataclass(frozen=True)
class Piece:
    """A piece as it lies on the surface, and where it is cut from.

    `number` is its place in the order of laying; x, y, width and height are those of its box. `sheet` is
    the sheet it comes from, counted from 1 in the order of first use, `sheet_x_nm` and `sheet_y_nm` its place
    there (x along the sheet's length); `turned`, whether its side along the course runs across that sheet.
    `whole` says that it takes a whole sheet, though it may be notched; `fallen`, that its offcut is one that
    fell out of a notched piece.

    Sheets are drawn with the face up that is seen on the surface: x of the sheet is x of the surface and y is
    y; where courses run along y, x of the sheet is y of the surface, and y runs against x. A turned piece has
    made a quarter more, counterclockwise. One that keeps a tapered edge may have made half a turn.
    """

    number: int
    course: int
    x_nm: int
    y_nm: int
    width_nm: int
    height_nm: int
    rings: tuple[Ring, ...]
    area_nm2: int
    sheet: int
    sheet_x_nm: int
    sheet_y_nm: int
    turned: bool
    whole: bool
    from_offcut: bool
    notch_cuts_nm: tuple[int, ...]
    fasteners: tuple[Point, ...]
    fallen: bool = False

    @property
    def notched(self) -> bool:
        return self.area_nm2 < self.width_nm * self.height_nm


class Part(NamedTuple):
    """A piece that has to be cut, as the packing of sheets sees it: its box along the course and across it.

    `edge`: one of its long sides meets a neighbor there, and has to be an edge of the sheet as made.
    `cutouts` are the rectangles that fall out of it, from the lower left corner of its box as it lies in its
    sheet unturned; less the kerf beside what stays.
    """

    along: int
    over: int
    edge: bool
    cutouts: tuple[Box, ...] = ()


Parts = tuple[Part | None, ...]  # in the order of laying, None for a whole sheet of which nothing falls out


@dataclass(frozen=True)
class StraightCut:
    """A cut right across what it cuts: where it starts on its sheet, and which way it runs.

    `offcut_nm` is what is left beside it, the kerf included. `fallen`: it is made in what fell out of a
    notched piece, and x and y are taken from the lower left corner of what is cut.
    """

    sheet: int
    x_nm: int
    y_nm: int
    length_nm: int
    lengthwise: bool
    offcut_nm: int
    fallen: bool = False


@dataclass(frozen=True)
class Joint:
    """A joint between two sheets: its strip on the surface.

    `across` tells a joint across a course (a butt joint, in drywall) from one between courses (tapered).
    `off_framing`: it runs along between two studs or joists, so it has to be backed or floated.
    """

    across: bool
    x_nm: int
    y_nm: int
    width_nm: int
    height_nm: int
    length_nm: int
    off_framing: bool = False


@dataclass(frozen=True)
class Layout:
    """Sheets laid on a surface. Counts, lengths and areas follow from the pieces, cuts and joints.

    `usable_nm2` is the surface less the gap along its perimeter; `lower_bound` is a count of sheets that no
    layout can do without, and `needed_nm2` the area that it rests on, which adds up over surfaces;
    `close_joints` counts pairs of joints of neighboring courses nearer than the offset; `near_corners`,
    joints nearer than asked for to corners that stand out. `given` is what `lay` needs to lay it again.
    """

    surface: Surface
    sheet: Sheet
    rules: SheetRules
    given: FixedLayout
    pieces: tuple[Piece, ...]
    parts: Parts
    cuts: tuple[StraightCut, ...]
    joints: tuple[Joint, ...]
    area_nm2: int
    usable_nm2: int
    perimeter_nm: int
    lower_bound: int
    needed_nm2: int
    close_joints: int
    near_corners: int

    @property
    def approximate(self) -> bool:
        """Whether the surface has slanting edges, which strips stand for."""
        return not self.surface.rectilinear

    @cached_property
    def off_framing(self) -> int:
        """Joints that fall between studs or joists; none where those aren't known."""
        return sum(joint.off_framing for joint in self.joints)

    @cached_property
    def sheets(self) -> int:
        """Sheets that are begun on this surface: all of them, unless some are shared with others."""
        return sum(not piece.from_offcut for piece in self.pieces)

    @property
    def sheet_gives_nm2(self) -> int:
        """The area that a sheet gives, as `needed_nm2` counts it: the gap beside it too, unless cuts are
        finer than the gap."""
        gap = 0 if self.rules.kerf_nm < self.rules.gap_nm else self.rules.gap_nm
        return (self.sheet.length_nm + gap) * (self.sheet.width_nm + gap)

    @property
    def sheets_by_area(self) -> int:
        """What area alone says: that of the surface over that of a sheet, rounded up."""
        return -(-self.area_nm2 // (self.sheet.length_nm * self.sheet.width_nm))

    @cached_property
    def cut_pieces(self) -> int:
        """Pieces that are part of a sheet; one that takes a whole sheet isn't counted, notched or not."""
        return sum(not piece.whole for piece in self.pieces)

    @cached_property
    def slivers(self) -> int:
        """Pieces with a side below the least piece."""
        least = self.rules.min_piece_nm
        return sum(min(piece.width_nm, piece.height_nm) < least for piece in self.pieces)

    @cached_property
    def cut_count(self) -> int:
        """Straight cuts and cuts for notches."""
        return len(self.cuts) + sum(len(piece.notch_cuts_nm) for piece in self.pieces)

    @cached_property
    def cut_nm(self) -> int:
        """Length of all cuts."""
        notches = sum(sum(piece.notch_cuts_nm) for piece in self.pieces)
        return notches + sum(cut.length_nm for cut in self.cuts)

    @cached_property
    def across_nm(self) -> int:
        """Length of the joints across courses: butt joints, where sheets have tapered long edges."""
        return sum(joint.length_nm for joint in self.joints if joint.across)

    @cached_property
    def between_nm(self) -> int:
        """Length of the joints between courses: tapered, where sheets have tapered long edges."""
        return sum(joint.length_nm for joint in self.joints if not joint.across)

    @cached_property
    def least_offset_nm(self) -> int | None:
        """How far the nearest joints of neighboring courses are apart; None where no two courses have any."""
        swap, found = self.given.courses_along == "y", []
        ends: dict[int, list[int]] = {}
        for joint in self.joints:
            if joint.across:
                at, low = (joint.y_nm, joint.x_nm) if swap else (joint.x_nm, joint.y_nm)
                ends.setdefault(low, []).append(at)
        for joint in self.joints:
            if joint.across:
                at, low = (joint.y_nm, joint.x_nm) if swap else (joint.x_nm, joint.y_nm)
                high = low + (joint.width_nm if swap else joint.height_nm)
                found += [abs(at - other) for other in ends.get(high + self.rules.gap_nm, ())]
        return min(found, default=None)

    @property
    def joint_nm(self) -> int:
        return self.across_nm + self.between_nm

    @cached_property
    def board_nm2(self) -> int:
        return sum(piece.area_nm2 for piece in self.pieces)

    @property
    def gap_nm2(self) -> int:
        """Area of the joints, which filler takes; the gap along the perimeter stays empty."""
        return self.usable_nm2 - self.board_nm2

    @cached_property
    def fastener_count(self) -> int:
        return sum(len(piece.fasteners) for piece in self.pieces)

    @cached_property
    def thin_legs(self) -> int:
        """Notched pieces with a leg below the least piece, which breaks; none where edges slant."""
        least = self.rules.min_piece_nm
        return sum(has_thin_leg(piece.rings, least) for piece in self.pieces if not self.approximate)

    @property
    def rank(self) -> tuple[int, ...]:
        """What layouts are compared by: slivers, joints near corners or off framing, sheets, thin legs,
        pieces, cuts, joints."""
        return (
            self.slivers,
            self.near_corners + self.off_framing,
            self.sheets,
            self.thin_legs,
            len(self.pieces),
            self.cut_count,
            self.joint_nm,
        )

    def measures(self, extra_sheets: int = 0) -> Mapping[str, Fraction]:
        """Return the sheet measures in their units; `extra_sheets` are bought besides.

        Joints in ft; joint_volume in cu in, left out where the thickness isn't known.
        """
        measures = {
            "sheets": Fraction(self.sheets + extra_sheets),
            "cut_pieces": Fraction(self.cut_pieces),
            "joint": feet_from_nm(self.joint_nm),
            "butt_joint": feet_from_nm(self.across_nm),
            "tapered_joint": feet_from_nm(self.between_nm),
            "fasteners": Fraction(self.fastener_count),
        }
        if self.sheet.thickness_nm:
            measures["joint_volume"] = Fraction(self.gap_nm2 * self.sheet.thickness_nm, NM_PER_INCH**3)
        return measures
