"""How sheets are laid: the gaps, offsets and fasteners that a layout keeps, each with where it comes from."""

from dataclasses import dataclass

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.sheet_layout.estimate_by_area import Sheet

LEAST_SPACING_NM = NM_PER_INCH  # of fasteners: nearer is a slip of the pen, and a grid without end


class CannotLay(ValueError):
    """No layout can be; the message is a plain sentence that says why and what would do."""


@dataclass(frozen=True)
class SheetRules:
    """The rules a layout keeps, in nanometers; the defaults are those of cement backer board on a floor.

    - gap_nm, between sheets: 1/8 in (a published guide to fiber-cement board; common practice).
    - perimeter_gap_nm, at walls and fixed things: 1/8 in (common practice; guides say 1/8 to 1/4 in).
    - kerf_nm, lost in a cut: 1/8 in, a masonry blade (common practice); 0 for score and snap.
    - min_offset_nm, least distance between joints of neighboring courses, so that four corners never
      meet: 6 in (common practice; one guide asks for 18 in).
    - min_piece_nm, least side of a piece: 6 in (common practice).
    - fastener_spacing_nm, at most: 8 in (IRC table R602.3(2), tile over fiber-cement underlayment).
    - framing_nm, from the middle of one stud or joist to the next, where boards are screwed to such and the
      room doesn't say where they are: rows lie so far apart along a course, which runs across them; 0 where
      the fasteners go into a floor, as far apart one way as the other.
    - edge_nm, from a fastener to the edge: 2 in (common practice; published figures are 3/8 to 5/8 in).
    - corner_clear_nm, how far joints keep from corners that stand out into the surface, such as those of
      a window, where they can; 0 doesn't care (common practice for drywall, where joints there crack).
    - may_turn: whether sheets may run either way and pieces be cut from a sheet turned; not where a
      sheet has a strength axis (common practice for drywall and underlayment panels).
    """

    gap_nm: int = NM_PER_INCH // 8
    perimeter_gap_nm: int = NM_PER_INCH // 8
    kerf_nm: int = NM_PER_INCH // 8
    min_offset_nm: int = 6 * NM_PER_INCH
    min_piece_nm: int = 6 * NM_PER_INCH
    fastener_spacing_nm: int = 8 * NM_PER_INCH
    edge_nm: int = 2 * NM_PER_INCH
    corner_clear_nm: int = 0
    may_turn: bool = True
    framing_nm: int = 0

    @property
    def row_spacing_nm(self) -> int:
        """How far apart, at most, rows of fasteners across a course are where no framing is known."""
        return self.framing_nm or self.fastener_spacing_nm


BACKER_BOARD = SheetRules()

# Butted without a gap, scored and snapped, butt joints a stud space apart (common practice). Screws 12 in
# apart, 16 in on walls: NAVEDTRA 14044, ch. 5; on framing 16 in apart IRC Table R702.3.5 asks for the same
# (from memory, as GA-216 and ASTM C840). Edge 3/8 in: the least that one jurisdiction prints.
DRYWALL_CEILING = SheetRules(
    gap_nm=0,
    perimeter_gap_nm=0,
    kerf_nm=0,
    min_offset_nm=16 * NM_PER_INCH,
    fastener_spacing_nm=12 * NM_PER_INCH,
    edge_nm=3 * NM_PER_INCH // 8,
    corner_clear_nm=6 * NM_PER_INCH,
    may_turn=False,
    framing_nm=16 * NM_PER_INCH,
)
DRYWALL_WALL = SheetRules(
    gap_nm=0,
    perimeter_gap_nm=0,
    kerf_nm=0,
    min_offset_nm=16 * NM_PER_INCH,
    fastener_spacing_nm=16 * NM_PER_INCH,
    edge_nm=3 * NM_PER_INCH // 8,
    corner_clear_nm=6 * NM_PER_INCH,
    may_turn=False,
    framing_nm=16 * NM_PER_INCH,
)


def check_rules(sheet: Sheet, rules: SheetRules, metric: bool = False) -> None:
    """Raise CannotLay where the rules contradict each other or the sheet."""

    def say(length_nm: int) -> str:
        return format_length(length_nm, metric)

    long, short = max(sheet.length_nm, sheet.width_nm), min(sheet.length_nm, sheet.width_nm)
    lengths = (rules.gap_nm, rules.perimeter_gap_nm, rules.kerf_nm, rules.min_offset_nm)
    if min(*lengths, rules.min_piece_nm, rules.edge_nm, rules.corner_clear_nm) < 0:
        raise CannotLay("Gaps, kerf, offsets, edge distances and least sizes can't be less than zero.")
    if rules.fastener_spacing_nm < LEAST_SPACING_NM:
        raise CannotLay(f"Fasteners must be allowed at least {say(LEAST_SPACING_NM)} apart.")
    if 2 * rules.edge_nm > short:
        raise CannotLay(
            f"Fasteners can't keep {say(rules.edge_nm)} from both edges of sheets {say(short)} wide: at most"
            " half the width can be kept."
        )
    if rules.min_piece_nm > short:
        raise CannotLay(
            f"A least piece of {say(rules.min_piece_nm)} is wider than the sheet itself"
            f" ({say(short)}): allow smaller pieces."
        )
    if 2 * rules.min_offset_nm > long + rules.gap_nm:
        raise CannotLay(
            f"Joints can't be {say(rules.min_offset_nm)} apart from one course to the next in"
            f" sheets {say(long)} long: at most half the length can be kept."
        )
    if max(rules.gap_nm, rules.kerf_nm) >= short:
        raise CannotLay(f"The gap and the kerf must be less than the sheet ({say(short)} wide).")
