"""The first page of an estimate: what is done in two plain sentences, and the room drawn."""

import re
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from estimating.plain_text import list_in_words
from estimating.pricing.price import PricedLine
from estimating.rooms.drawing import plan_svg
from estimating.rooms.outline import PlanError
from estimating.rooms.plan import RoomPlan, room_outline
from estimating.snapshots.priced_draft import PricedDraft
from estimating.snapshots.wording import Wording

REMOVED = "Remove "
MOST_NAMED = 5
LARGER_ON_HALF = 1.3  # the same for a drawing that is half the page wide
LARGER_LETTERS = 1.6  # the drawing is a third of the page wide: at the usual size they would be 5 pt high
# Phases that every job has: what is named is what the client will see.
_NOT_NAMED = ("protect", "take_out", "close")


def proposed_summary(wording: Wording, draft: PricedDraft) -> Iterator[str]:
    """Yield a sentence about what is removed, and one about the work that costs most, from their titles."""
    works = [line for line in draft.priced.lines if line.kind == "work"]
    out = [_inside(line.title.removeprefix(REMOVED)) for line in works if _is_removed(line)]
    if out:
        rooms = [plan.name for plan in draft.rooms.values()]
        where = f"{rooms[0]}: " if len(rooms) == 1 else ""
        yield f"{where}I remove {_said(out)}."
    named = _main_work([line for line in works if line.phase not in _NOT_NAMED] or works)
    if named:
        begins = "Then comes the main work" if out else "The main work"
        yield f"{begins}: {_said([_inside(_without_detail(line.title)) for line in named])}."


def _is_removed(line: PricedLine) -> bool:
    return line.phase == "take_out" and line.title.startswith(REMOVED)


def _main_work(works: Sequence[PricedLine]) -> list[PricedLine]:
    """Return the dearest work, in its own order."""
    dearest = sorted(works, key=lambda line: line.client_price, reverse=True)[:MOST_NAMED]
    return [line for line in works if line in dearest]


def _said(works: Sequence[str]) -> str:
    """Return titles as a list in a sentence. Some hold an "and" of their own, so the last is set off."""
    *others, last = works
    if not any(" and " in title or ", " in title for title in works):
        return list_in_words(works)
    return f"{', '.join(others)}, and {last}" if others else last


def _without_detail(title: str) -> str:
    """Return a title without a size or level behind its comma; a list stays whole."""
    main, _, detail = title.partition(", ")
    return title if " and " in detail or " or " in detail else main


def _inside(title: str) -> str:
    """Return a title as it stands inside a sentence, without the mark that an option begins with."""
    return title if re.match(r"[A-Z0-9]{2}", title) else f"{title[:1].lower()}{title[1:]}"


def plan_for_snapshot(rooms: Mapping[str, RoomPlan], metric: bool) -> dict[str, Any]:
    """Return the drawing of the largest room that can be drawn, of one with photos on it where there is any.

    Empty where none can be drawn.
    """
    for plan in sorted(rooms.values(), key=lambda plan: (bool(plan.photos), _floor(plan)), reverse=True):
        try:
            svg = plan_svg(plan, metric, ident="plan", larger=LARGER_LETTERS)
        except PlanError:
            continue
        return {"plan": {"name": plan.name, "svg": in_print_colors(svg)}}
    return {}


def _floor(plan: RoomPlan) -> int:
    try:
        return abs(room_outline(plan).signed_double_area_nm2) if plan.legs else 0
    except PlanError:
        return 0


def in_print_colors(svg: str) -> str:
    """Return a drawing without what pages alone use: classes to color it by, and what is tapped."""
    return re.sub(r' (class|data-item)="[^"]*"', "", svg)
