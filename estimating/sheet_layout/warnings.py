"""What an installer should know of a layout before he cuts, each in a plain sentence."""

from collections.abc import Callable, Iterator, Sequence

from catalog.measures.lengths import NM_PER_INCH, format_length
from estimating.sheet_layout.fasteners import CLEAR_NM
from estimating.sheet_layout.layout import Layout, Piece
from estimating.sheet_layout.regions import has_thin_leg, tips

SLANTING_TOP = (
    "The top slants: boards are laid over it in steps, to be cut along the slant, so counts hold and lengths"
    " are approximate."
)
LEAST_SNAP_NM = NM_PER_INCH  # common practice: a narrower strip can't be snapped off


def warnings(layout: Layout, metric: bool = False) -> Iterator[str]:
    rules, pieces = layout.rules, layout.pieces

    def say(length_nm: int) -> str:
        return format_length(length_nm, metric)

    if layout.approximate and layout.surface.level:
        yield SLANTING_TOP
    elif layout.approximate:
        yield (
            "The surface isn't square-cornered: strips along its longest wall stand for it, so counts and"
            " lengths are approximate."
        )
    if layout.close_joints:
        yield (
            f"{_count(layout.close_joints, 'pair')} of joints in neighboring courses"
            f" {_are(layout.close_joints)} less than {say(rules.min_offset_nm)} apart."
        )
    yield from _slivers(layout, say)
    if layout.near_corners:
        yield (
            f"{_count(layout.near_corners, 'joint')} {_are(layout.near_corners)} within"
            f" {say(rules.corner_clear_nm)} of a corner, where joints crack."
        )
    if layout.off_framing:
        members = "studs" if layout.surface.level else "joists"
        yield (
            f"{_count(layout.off_framing, 'joint')} {'falls' if layout.off_framing == 1 else 'fall'} between"
            f" {members}: back {'it' if layout.off_framing == 1 else 'them'}, or float"
            f" {'it' if layout.off_framing == 1 else 'them'} wide."
        )
    if met := _on_joists(layout):
        yield (
            f"{_count(met, 'fastener')} {'meets' if met == 1 else 'meet'} a joist below: set"
            f" {'it' if met == 1 else 'them'} {say(CLEAR_NM)} beside it where the piece has room."
        )
    trims = sum(0 < cut.offcut_nm < LEAST_SNAP_NM for cut in layout.cuts)
    if trims:
        takes = "takes" if trims == 1 else "take"
        yield (
            f"{_count(trims, 'cut')} {takes} off less than {say(LEAST_SNAP_NM)}, too little to"
            " snap: saw it, or change the gap along the wall."
        )
    if not layout.approximate:
        thin = [piece for piece in pieces if has_thin_leg(piece.rings, rules.min_piece_nm)]
        yield from _about(thin, "has a leg", "have legs", f"narrower than {say(rules.min_piece_nm)}.")
        loose = [
            piece for piece in pieces if _loose(piece, max(rules.fastener_spacing_nm, rules.row_spacing_nm))
        ]
        yield from _about(
            loose, "has a leg", "have legs", "that the grid of fasteners leaves loose: add some."
        )


def _on_joists(layout: Layout) -> int:
    """Count the fasteners that meet a joist which they are to be clear of: in strips without room beside it,
    and in slanting rooms, whose boards aren't laid by the joists."""
    joists = layout.surface.clear_of
    if joists is None:
        return 0
    axis = 0 if joists.along == "y" else 1
    places = (layout.surface.on_plan(point)[axis] for piece in layout.pieces for point in piece.fasteners)
    off = ((place - joists.at_nm) % joists.spacing_nm for place in places)
    return sum(min(beyond, joists.spacing_nm - beyond) < CLEAR_NM for beyond in off)


def _slivers(layout: Layout, say: Callable[[int], str]) -> Iterator[str]:
    if not layout.slivers:
        return
    across = {side for piece in layout.pieces for side in (piece.width_nm, piece.height_nm)}
    yield (
        f"{_count(layout.slivers, 'piece')} {_are(layout.slivers)} narrower than"
        f" {say(layout.rules.min_piece_nm)} ({say(min(across))} at the narrowest): the surface, or part of"
        " it, leaves no more."
    )


def _about(pieces: Sequence[Piece], verb: str, verb_of_many: str, rest: str) -> Iterator[str]:
    numbers = [str(piece.number) for piece in pieces]
    if len(numbers) == 1:
        yield f"Piece {numbers[0]} {verb} {rest}"
    elif numbers:
        yield f"Pieces {', '.join(numbers[:-1])} and {numbers[-1]} {verb_of_many} {rest}"


def _loose(piece: Piece, spacing_nm: int) -> bool:
    """Tell whether a leg of a notched piece ends farther than the spacing from every fastener."""
    if not piece.notched:
        return False
    return any(
        all(max(abs(x - end[0]), abs(y - end[1])) > spacing_nm for x, y in piece.fasteners)
        for tip in tips(piece.rings[0])
        for end in tip
    )


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"


def _are(number: int) -> str:
    return "is" if number == 1 else "are"
