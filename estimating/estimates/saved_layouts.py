"""The boards of a job as the database holds them: rules, choices, sizes, and the best layouts so far."""

from collections.abc import Iterable, Mapping
from typing import get_args

from django.db import transaction
from django.db.models import F

from catalog.assemblies.specs import MaterialSpec
from catalog.models import Material
from estimating.boards.layout_request import LayoutChoice, SurfaceRef
from estimating.boards.layouts import BoardLayout, Boards, Effort, OwnRules, result_from_json, result_to_json
from estimating.models import BoardChoice, BoardRules, BoardSize, Job, KeptLayout
from estimating.sheet_layout.surface import Axis, Corner

SAVED_PER_SURFACE = 8  # layouts of one board on one surface, so that what was tried before is soon back

_CORNERS: Mapping[str, Corner] = {corner: corner for corner in get_args(Corner)}
_AXES: Mapping[str, Axis] = {axis: axis for axis in get_args(Axis)}


def read_boards(job: Job, effort: Effort) -> Boards:
    """Return how boards are laid in a job. Takes three queries, however many boards there are."""
    saved = KeptLayout.objects.filter(room__job=job)
    results = ((row.key, result_from_json(row.found)) for row in saved)
    choices = BoardChoice.objects.filter(room__job=job).select_related("material")
    return Boards(
        rules={row.material.code: rules_of(row) for row in BoardRules.objects.select_related("material")},
        choices={
            SurfaceRef(str(row.room_id), row.surface, row.material.code): choice_of(row) for row in choices
        },
        known={key: result for key, result in results if result},
        effort=effort,
    )


def read_sizes(job: Job, materials: Mapping[int, MaterialSpec]) -> dict[str, MaterialSpec]:
    """Return the boards that a job lays in another size, by the code of the board that its work names."""
    rows = BoardSize.objects.filter(job=job).values_list("board_id", "instead_id")
    return {materials[board].code: materials[instead] for board, instead in rows}


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


def save_layouts(layouts: Iterable[BoardLayout], known: Iterable[str]) -> None:
    """Save the best layouts whose keys aren't `known`; of each board on a surface, keep the latest few."""
    by_key = {layout.request.key: layout for layout in layouts if layout.best}
    unsaved = [layout for key, layout in by_key.items() if key not in set(known)]
    if not unsaved:
        return
    with transaction.atomic():
        for layout in unsaved:
            room, surface, board = layout.request.surface_ref
            of_surface = KeptLayout.objects.filter(room_id=room, surface=surface, board=board)
            old = of_surface.order_by("-pk").values_list("pk", flat=True)[SAVED_PER_SURFACE - 1 :]
            KeptLayout.objects.filter(pk__in=list(old)).delete()
        KeptLayout.objects.bulk_create(
            [
                KeptLayout(
                    room_id=layout.request.room,
                    surface=layout.request.room_surface.code,
                    board=layout.request.board.code,
                    key=layout.request.key,
                    found=result_to_json(layout.result),
                )
                for layout in unsaved
            ],
            ignore_conflicts=True,
        )
