"""What a surface takes in sheets, from its area and perimeter alone, by stated rules.

No sheet is laid out here: every number is an estimate that a layout of the boards can replace. The rules
are our own geometry, with the fastener grid that board makers' spacing and edge distance give.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from math import ceil

from catalog.measures.lengths import NM_PER_INCH, feet_from_nm, sqft_from_nm2


@dataclass(frozen=True)
class Sheet:
    """A sheet as bought; thickness 0 where it isn't known.

    Raises ValueError unless length and width are more than zero.
    """

    length_nm: int
    width_nm: int
    thickness_nm: int

    def __post_init__(self) -> None:
        if min(self.length_nm, self.width_nm) <= 0 or self.thickness_nm < 0:
            raise ValueError("A sheet needs a length and a width of more than zero.")

    @property
    def area_sqft(self) -> Fraction:
        return sqft_from_nm2(self.length_nm * self.width_nm)

    @property
    def half_around_ft(self) -> Fraction:
        """One length and one width."""
        return feet_from_nm(self.length_nm + self.width_nm)


@dataclass(frozen=True)
class AreaRules:
    """How sheets are set: gap between them, fasteners (common practice for cement board), waste.

    `row_spacing_nm` is how far apart rows of fasteners stand along a sheet, as framing does that it is
    fastened to; None stands for the spacing.
    """

    gap_nm: int = NM_PER_INCH // 8
    fastener_spacing_nm: int = 8 * NM_PER_INCH
    row_spacing_nm: int | None = None
    edge_nm: int = 2 * NM_PER_INCH
    waste: Fraction = Fraction(1, 10)


DEFAULT_RULES = AreaRules()


def estimate_sheets(
    area_sqft: Fraction,
    perimeter_ft: Fraction,
    sheet: Sheet,
    rules: AreaRules = DEFAULT_RULES,
    cut_ft: Fraction | None = None,
) -> Mapping[str, Fraction]:
    """Return the sheet measures of a surface, each in its own unit.

    `cut_ft` is the length along which boards are cut, where more is known than that they are along half the
    perimeter.

    - sheets: area with waste over the area of one sheet, rounded up to whole sheets.
    - joint (ft): half of what the edges of all boards exceed the perimeter by, since two boards share a
      joint; never below zero.
    - butt_joint and tapered_joint (ft): the joint in proportion to the sheet's short and long side.
    - joint_volume (cu in): joint times gap times thickness; left out where the thickness isn't known.
    - fasteners: the grid of one whole sheet times the area in sheets (no waste), and one row along where
      boards are cut, since a cut edge is fastened too; rounded up. Over many rooms that comes within 5 % of
      what layouts count, in one room within a fifth (tests/estimating/boards/test_layouts.py).
    - cut_pieces: boards of mean size in a row along half the perimeter, rounded up, since boards are cut
      where they meet two of the four sides of a room; none where there is no area.
    """
    boards = max(Fraction(0), area_sqft) / sheet.area_sqft
    joint_ft = max(Fraction(0), boards * sheet.half_around_ft - perimeter_ft / 2)
    cut_pieces = ceil(perimeter_ft / sheet.half_around_ft) if boards else 0
    short_nm = min(sheet.length_nm, sheet.width_nm)
    butt_ft = joint_ft * short_nm / (sheet.length_nm + sheet.width_nm)
    grid = fasteners_per_sheet(sheet, rules)
    a_foot = sum(_rows_both_ways(sheet, rules)) / sheet.half_around_ft  # of a row along a mean side
    at_cuts = a_foot * (perimeter_ft / 2 if cut_ft is None else cut_ft) if boards else Fraction(0)
    measures = {
        "sheets": Fraction(ceil(boards * (1 + rules.waste))),
        "joint": joint_ft,
        "butt_joint": butt_ft,
        "tapered_joint": joint_ft - butt_ft,
        "fasteners": Fraction(ceil(grid * boards + at_cuts)),
        "cut_pieces": Fraction(cut_pieces),
    }
    if sheet.thickness_nm:
        gap_sqin = Fraction(rules.gap_nm * sheet.thickness_nm, NM_PER_INCH**2)
        measures["joint_volume"] = joint_ft * 12 * gap_sqin
    return measures


def fasteners_per_sheet(sheet: Sheet, rules: AreaRules = DEFAULT_RULES) -> int:
    """Return how many fasteners a whole sheet takes in a grid, the outer ones at the edge distance."""
    along, across = _rows_both_ways(sheet, rules)
    return along * across


def _rows_both_ways(sheet: Sheet, rules: AreaRules) -> tuple[int, int]:
    """Count the fasteners along the long side of a sheet and along the short one."""
    short_nm, long_nm = sorted((sheet.length_nm, sheet.width_nm))
    spacing_nm = rules.fastener_spacing_nm
    return _in_a_row(long_nm, rules, rules.row_spacing_nm or spacing_nm), _in_a_row(
        short_nm, rules, spacing_nm
    )


def _in_a_row(size_nm: int, rules: AreaRules, spacing_nm: int) -> int:
    """Count the fasteners along one side: one where the edge distances meet, else as the spacing asks."""
    between = size_nm - 2 * rules.edge_nm
    if between <= 0:
        return 1
    return max(2, -(-between // spacing_nm) + 1)
