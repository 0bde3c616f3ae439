"""The boards of one material cut together over a job: which surfaces share their sheets.

Work in the sum shares with work in the sum, and what belongs to one option within that option, as it may not
be taken. What the client brings isn't cut together with what is bought.
"""

from collections import defaultdict
from collections.abc import Hashable, Iterator, Sequence
from dataclasses import replace

from catalog.assemblies.specs import AssemblySpec
from estimating.boards.layouts import BoardLayout, Boards, assemblies_with_boards
from estimating.takeoff.work import ItemQuantities


def share_sheets(items: Sequence[ItemQuantities], boards: Boards) -> list[ItemQuantities]:
    """Return the work items with the sheets of each material shared by all surfaces that it is bought for.

    Boards that are laid for their joints alone stay as they are.
    """
    groups: dict[Hashable, list[tuple[int, str, int]]] = defaultdict(list)
    for at, item in enumerate(items):
        for code in _buying(item):
            for number, layout in enumerate(item.boards[code].layouts):
                groups[_shares_with(item, layout)].append((at, code, number))
    found: dict[tuple[int, str, int], BoardLayout] = {}
    for places in groups.values():
        laid = [items[at].boards[code].layouts[number] for at, code, number in places]
        found |= zip(places, boards.share(laid), strict=True)
    # What is laid for its joints alone lies as the boards that are hung there.
    laid_otherwise = {
        layout.request.key: layout.result for layout in found.values() if layout.result != layout.own
    }

    def as_hung(layout: BoardLayout) -> BoardLayout:
        other = laid_otherwise.get(layout.request.key)
        return replace(layout, result=other, own=layout.result) if other else layout

    return [
        replace(
            item,
            boards={
                code: replace(
                    laid,
                    layouts=tuple(
                        found.get((at, code, number)) or as_hung(layout)
                        for number, layout in enumerate(laid.layouts)
                    ),
                )
                for code, laid in item.boards.items()
            },
        )
        for at, item in enumerate(items)
    ]


def _buying(item: ItemQuantities) -> Iterator[str]:
    """Yield the assemblies of a work item that are laid without a problem and buy the sheets."""
    if item.work.assembly is None:
        return
    for part in assemblies_with_boards(item.work.assembly):
        laid = item.boards.get(part.code)
        if laid and not laid.problem and _buys(part):
            yield part.code


def _buys(assembly: AssemblySpec) -> bool:
    return any(
        component.scales_with == "sheets" and component.use == assembly.board
        for component in assembly.components
    )


def _shares_with(item: ItemQuantities, layout: BoardLayout) -> Hashable:
    """Return what two layouts must have in common to be cut from the same sheets."""
    work, request = item.work, layout.request
    option = (work.option_name or work.key) if work.is_option else None
    brought = request.board.code in work.client_supplies
    return option, brought, request.board.code, request.sheet, request.rules.kerf_nm, request.rules.may_turn
