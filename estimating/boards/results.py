"""What a layout comes to: the answer to a request, as it is remembered and stored."""

from dataclasses import dataclass, fields
from typing import Any, TypedDict

from estimating.sheet_layout.layout import FixedLayout, Layout, Part, Parts
from estimating.sheet_layout.regions import Box
from estimating.sheet_layout.surface import Axis, Corner


@dataclass(frozen=True)
class LayoutFigures:
    """What a layout comes to: counts, lengths in nanometers, areas in square nanometers.

    The names of the fields are stored in the database with every saved layout.
    """

    sheets: int
    by_area: int
    least: int
    pieces: int
    cut_pieces: int
    from_offcuts: int
    cuts: int
    cut_nm: int
    joint_nm: int
    butt_nm: int
    filler_nm2: int
    fasteners: int
    slivers: int
    off_framing: int
    area_nm2: int
    needed_nm2: int

    @classmethod
    def of(cls, layout: Layout) -> "LayoutFigures":
        return cls(
            sheets=layout.sheets,
            by_area=layout.sheets_by_area,
            least=layout.lower_bound,
            pieces=len(layout.pieces),
            cut_pieces=layout.cut_pieces,
            from_offcuts=sum(piece.from_offcut for piece in layout.pieces),
            cuts=layout.cut_count,
            cut_nm=layout.cut_nm,
            joint_nm=layout.joint_nm,
            butt_nm=layout.across_nm,
            filler_nm2=layout.gap_nm2,
            fasteners=layout.fastener_count,
            slivers=layout.slivers,
            off_framing=layout.off_framing,
            area_nm2=layout.area_nm2,
            needed_nm2=layout.needed_nm2,
        )


@dataclass(frozen=True)
class LayoutResult:
    """The answer to a layout request: the fixed layout that draws it again, and what it comes to.

    `pieces` are in the order of laying: the part that is to be cut, or None for one that takes a whole sheet.
    """

    given: FixedLayout
    figures: LayoutFigures
    pieces: Parts

    @classmethod
    def of(cls, layout: Layout) -> "LayoutResult":
        return cls(layout.given, LayoutFigures.of(layout), layout.parts)


class SavedResult(TypedDict):
    """A LayoutResult as the database stores it; the keys are part of the stored rows."""

    along: Axis
    first_width_nm: int
    first_pieces_nm: list[int]
    corner: Corner
    trimmed: bool
    pieces: list[list[Any] | None]
    figures: dict[str, int]


def result_to_json(result: LayoutResult) -> SavedResult:
    """Return a result as JSON can store it."""
    given = result.given
    return {
        "along": given.courses_along,
        "first_width_nm": given.first_width_nm,
        "first_pieces_nm": list(given.first_pieces_nm),
        "corner": given.corner,
        "trimmed": given.trimmed,
        "pieces": [[*part[:3], *map(list, part.cutouts)] if part else None for part in result.pieces],
        "figures": {figure.name: getattr(result.figures, figure.name) for figure in fields(LayoutFigures)},
    }


def result_from_json(saved: SavedResult) -> LayoutResult | None:
    """Return the stored result; None where an older version stored it, with other figures."""
    if saved["figures"].keys() != {figure.name for figure in fields(LayoutFigures)}:
        return None
    first_pieces = tuple(saved["first_pieces_nm"])
    given = FixedLayout(
        saved["along"], saved["first_width_nm"], first_pieces, saved["corner"], saved["trimmed"]
    )
    pieces = tuple(_part(part) if part else None for part in saved["pieces"])
    return LayoutResult(given, LayoutFigures(**saved["figures"]), pieces)


def _part(saved: list[Any]) -> Part:
    along, over, edge, *cutouts = saved
    return Part(along, over, bool(edge), tuple(Box(*box) for box in cutouts))
