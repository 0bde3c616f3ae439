"""The check itself: it must see what is wrong with a layout that was spoilt."""

from collections.abc import Callable
from dataclasses import replace
from typing import Any

import pytest

from estimating.sheet_layout.lay import lay
from estimating.sheet_layout.layout import FixedLayout, Layout, Piece
from estimating.sheet_layout.rules import BACKER_BOARD
from tests.estimating.sheet_layout.sheet_rooms import BACKER, IN, KITCHEN
from tests.estimating.sheet_layout.validate import validate

Spoil = Callable[[Layout], Layout]


def with_piece(layout: Layout, at: int, **change: Any) -> Layout:
    pieces = list(layout.pieces)
    pieces[at] = replace(pieces[at], **change)
    return replace(layout, pieces=tuple(pieces))


def moved(piece: Piece, x_nm: int) -> dict[str, object]:
    rings = tuple(tuple((x + x_nm, y) for x, y in ring) for ring in piece.rings)
    fasteners = tuple((x + x_nm, y) for x, y in piece.fasteners)
    return {"x_nm": piece.x_nm + x_nm, "rings": rings, "fasteners": fasteners}


def shared(layout: Layout) -> int:
    """A piece that is cut from the rest of a sheet."""
    return next(at for at, piece in enumerate(layout.pieces) if piece.from_offcut)


SETTLED = replace(BACKER_BOARD, may_turn=False)
SOUND = lay(KITCHEN, BACKER, fixed=FixedLayout("x", 36 * IN, (60 * IN, 30 * IN, 60 * IN, 30 * IN)))
SPOILT: list[tuple[Spoil, str]] = [
    (lambda laid: with_piece(laid, 1, **moved(laid.pieces[1], -IN)), "overlap"),
    (lambda laid: with_piece(laid, 0, **moved(laid.pieces[0], -IN)), "beyond the surface"),
    (lambda laid: with_piece(laid, 1, **moved(laid.pieces[1], -IN // 16)), "nearer than the gap"),
    (lambda laid: replace(laid, pieces=laid.pieces[:-1]), "left bare"),
    (lambda laid: replace(laid, joints=laid.joints[1:]), "left bare"),
    (lambda laid: replace(laid, close_joints=1), "nearer than the offset, not 1"),
    (lambda laid: replace(laid, usable_nm2=laid.usable_nm2 + 1), "areas"),
    (
        lambda laid: with_piece(laid, 0, fasteners=((laid.pieces[0].x_nm, laid.pieces[0].y_nm),)),
        "too near the edge",
    ),
    (lambda laid: with_piece(laid, 0, fasteners=laid.pieces[0].fasteners[::39]), "too far apart"),
    (lambda laid: with_piece(laid, 0, fasteners=laid.pieces[0].fasteners * 2), "fall together"),
    (lambda laid: with_piece(laid, 0, fasteners=((0, 0),)), "outside it"),
    (lambda laid: with_piece(laid, shared(laid), sheet_x_nm=60 * IN), "beyond sheet"),
    (lambda laid: with_piece(laid, shared(laid), sheet_x_nm=0, sheet_y_nm=0), "can't be cut apart"),
    (lambda laid: with_piece(laid, shared(laid), from_offcut=False), "started other than once"),
    (lambda laid: with_piece(laid, 0, sheet=99), "counted one by one"),
    (lambda laid: replace(with_piece(laid, 0, turned=True), rules=SETTLED), "is turned"),
]


@pytest.mark.parametrize(("spoil", "sentence"), SPOILT, ids=[sentence for _, sentence in SPOILT])
def test_the_check_sees_what_is_spoilt(spoil: Spoil, sentence: str) -> None:
    assert sentence in " ".join(validate(spoil(SOUND)))


def test_the_check_passes_a_sound_layout() -> None:
    assert validate(SOUND) == ()
