"""The boards of a job as the database knows them: rules, choices, and the best layouts found so far."""

from collections.abc import Iterable, Mapping

from django.db import transaction

from catalog.assemblies.expansion import MaterialSpec
from estimating.boards.layouts import Boards, Choice, Effort, Laid, from_plain, to_plain
from estimating.models import BoardChoice, BoardRules, BoardSize, Job, KeptLayout

KEPT_OF_A_PLACE = 8  # layouts of one board on one surface: what was tried before is soon back

RULES = (
    "gap_nm",
    "perimeter_gap_nm",
    "kerf_nm",
    "min_offset_nm",
    "min_piece_nm",
    "fastener_spacing_nm",
    "edge_nm",
    "corner_clear_nm",
    "may_turn",
)


def read_boards(job: Job, effort: Effort) -> Boards:
    """How boards lie in this job. Three queries, however many there are."""
    rows = KeptLayout.objects.filter(room__job=job)
    kept = ((row.key, from_plain(row.found)) for row in rows)
    chosen = BoardChoice.objects.filter(room__job=job).select_related("material")
    return Boards(
        rules={row.material.code: rules_of(row) for row in BoardRules.objects.select_related("material")},
        choices={(str(row.room_id), row.surface, row.material.code): choice_of(row) for row in chosen},
        known={key: found for key, found in kept if found},
        effort=effort,
    )


def read_sizes(job: Job, materials: Mapping[int, MaterialSpec]) -> dict[str, MaterialSpec]:
    """The boards that this job lays in another size, by the code of the board that the work names."""
    rows = BoardSize.objects.filter(job=job).values_list("board_id", "instead_id")
    return {materials[board].code: materials[instead] for board, instead in rows}


def rules_of(row: BoardRules) -> dict[str, int | bool]:
    """What the firm says otherwise than usual, by the rule's name."""
    said = {name: getattr(row, name) for name in RULES}
    return {name: value for name, value in said.items() if value is not None}


def choice_of(row: BoardChoice) -> Choice:
    return Choice(
        row.corner or None, row.along or None, row.first_width_nm, row.first_piece_nm, extra=row.extra
    )


def keep(found: Iterable[Laid], known: Iterable[str]) -> None:
    """Keep the best layouts that aren't kept yet, and of each place only the latest few."""
    new = {each.laying.key: each for each in found if each.best}
    fresh = [each for key, each in new.items() if key not in set(known)]
    if not fresh:
        return
    with transaction.atomic():
        for each in fresh:
            room, surface, board = each.laying.place
            of_place = KeptLayout.objects.filter(room_id=room, surface=surface, board=board)
            old = of_place.order_by("-pk").values_list("pk", flat=True)[KEPT_OF_A_PLACE - 1 :]
            KeptLayout.objects.filter(pk__in=list(old)).delete()
        KeptLayout.objects.bulk_create(
            [
                KeptLayout(
                    room_id=each.laying.room,
                    surface=each.laying.on.code,
                    board=each.laying.board.code,
                    key=each.laying.key,
                    found=to_plain(each.found),
                )
                for each in fresh
            ],
            ignore_conflicts=True,
        )
