"""The boards of a job as the database holds them: rules, choices, sizes, and the best layouts so far."""

from collections.abc import Iterable, Mapping
from typing import Any, get_args

from django.db import transaction
from django.db.models import F, QuerySet

from catalog.models import Material
from estimating.boards.layout_request import LayoutChoice, SurfaceRef
from estimating.boards.layouts import BoardLayout, Boards, OwnRules
from estimating.boards.results import result_from_json, result_to_json
from estimating.boards.shared_sheets import SharedSheets, shares_from_json, shares_to_json
from estimating.models import BoardChoice, BoardRules, BoardSize, Job, KeptLayout
from estimating.sheet_layout.surface import Axis, Corner

SHARED = ""  # the surface that shared sheets are kept under, with the first of their rooms
SAVED_PER_SURFACE = 8  # layouts of one board on one surface, so that what was tried before is soon back

_CORNERS: Mapping[str, Corner] = {corner: corner for corner in get_args(Corner)}
_AXES: Mapping[str, Axis] = {axis: axis for axis in get_args(Axis)}


def board_layouts_of(job: int) -> QuerySet[KeptLayout]:
    return KeptLayout.objects.filter(room__job=job)


def board_rules() -> QuerySet[BoardRules]:
    return BoardRules.objects.select_related("material")


def board_choices_of(job: int) -> QuerySet[BoardChoice]:
    return BoardChoice.objects.filter(room__job=job).select_related("material")


def board_sizes_of(job: int) -> QuerySet[BoardSize, tuple[int, int]]:
    """Return the boards that a job lays in another size, as the material that its work names and that one."""
    return BoardSize.objects.filter(job=job).values_list("board_id", "instead_id")


def boards_of(
    layouts: Iterable[KeptLayout], rules: Iterable[BoardRules], choices: Iterable[BoardChoice]
) -> Boards:
    """Return how boards are laid in a job, by its rows."""
    saved = list(layouts)
    results = ((row.key, result_from_json(row.found)) for row in saved if row.surface != SHARED)
    shares = ((row.key, shares_from_json(row.found)) for row in saved if row.surface == SHARED)
    return Boards(
        rules={row.material.code: rules_of(row) for row in rules},
        choices={
            SurfaceRef(str(row.room_id), row.surface, row.material.code): choice_of(row) for row in choices
        },
        known={key: result for key, result in results if result},
        known_shares={key: found for key, found in shares if found},
    )


def rules_of(row: BoardRules) -> OwnRules:
    """Return the rules that the firm sets for a board; None where it keeps the usual rule."""
    return OwnRules(
        gap_nm=row.gap_nm,
        perimeter_gap_nm=row.perimeter_gap_nm,
        kerf_nm=row.kerf_nm,
        min_offset_nm=row.min_offset_nm,
        min_piece_nm=row.min_piece_nm,
        fastener_spacing_nm=row.fastener_spacing_nm,
        edge_nm=row.edge_nm,
        corner_clear_nm=row.corner_clear_nm,
        may_turn=row.may_turn,
    )


def choice_of(row: BoardChoice) -> LayoutChoice:
    return LayoutChoice(
        corner=_CORNERS.get(row.corner),
        along=_AXES.get(row.along),
        first_width_nm=row.first_width_nm,
        first_piece_nm=row.first_piece_nm,
        extra=row.extra,
    )


@transaction.atomic
def lay_in_size(job: Job, board: Material, size: Material) -> None:
    """Lay a board in another size throughout a job, or in its own size again.

    `board` may itself be laid in place of others: then those are laid in the new size.
    """
    rows = BoardSize.objects.filter(job=job, instead=board).select_related("board")
    named = [row.board for row in rows] or [board]
    for named_board in named:
        BoardSize.objects.update_or_create(job=job, board=named_board, defaults={"instead": size})
    BoardSize.objects.filter(job=job, board=F("instead")).delete()


def save_layouts(layouts: Iterable[BoardLayout], boards: Boards) -> None:
    """Save the best layouts that weren't known before, and how their sheets are shared.

    Of each board on a surface, the latest few are kept.
    """
    rows: dict[str, KeptLayout] = {}
    for layout in layouts:
        request, shared = layout.request, layout.shared
        if layout.best and request.key not in boards.known:
            own = layout.own or layout.result
            rows[request.key] = _row(*request.surface_ref, request.key, result_to_json(own))
        if shared and shared.best and len(shared.requests) > 1 and shared.key not in boards.known_shares:
            rows[shared.key] = _shared_row(shared)
    if not rows:
        return
    with transaction.atomic():
        for row in rows.values():
            of_surface = KeptLayout.objects.filter(room=row.room_id, surface=row.surface, board=row.board)
            old = of_surface.order_by("-pk").values_list("pk", flat=True)[SAVED_PER_SURFACE - 1 :]
            KeptLayout.objects.filter(pk__in=list(old)).delete()
        KeptLayout.objects.bulk_create(rows.values(), ignore_conflicts=True)


def _shared_row(shared: SharedSheets) -> KeptLayout:
    room, _, board = shared.requests[0].surface_ref
    return _row(room, SHARED, board, shared.key, shares_to_json(shared.shares))


def _row(room: str, surface: str, board: str, key: str, found: Mapping[str, Any]) -> KeptLayout:
    return KeptLayout(room_id=int(room), surface=surface, board=board, key=key, found=found)
