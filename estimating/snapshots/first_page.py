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

TAKEN_OUT = "Take out "
MOST_NAMED = 5
# Phases that every job has: what is named is what the client will see.
_NOT_NAMED = ("protect", "take_out", "close")


def proposed_summary(wording: Wording, draft: PricedDraft) -> Iterator[str]:
    """Yield a sentence about what comes out, and one about the work that costs most, from their titles."""
    works = [line for line in draft.priced.lines if line.kind == "work"]
    out = [_inside(line.title.removeprefix(TAKEN_OUT)) for line in works if line.title.startswith(TAKEN_OUT)]
    if out:
        places = list_in_words([plan.name for plan in draft.rooms.values()])
        yield f"What comes out{f' ({places})' if len(draft.rooms) == 1 else ''}: {'; '.join(out)}."
    named = _main_work([line for line in works if line.phase not in _NOT_NAMED] or works)
    if named:
        begins = "What is made new" if out else "The work"
        yield f"{begins}: {'; '.join(_inside(line.title) for line in named)}."


def _main_work(works: Sequence[PricedLine]) -> list[PricedLine]:
    """Return the dearest work, in its own order."""
    dearest = sorted(works, key=lambda line: line.client_price, reverse=True)[:MOST_NAMED]
    return [line for line in works if line in dearest]


def _inside(title: str) -> str:
    """Return a title as it stands inside a sentence, without the mark that an option begins with."""
    return title if re.match(r"[A-Z0-9]{2}", title) else f"{title[:1].lower()}{title[1:]}"


def plan_for_snapshot(rooms: Mapping[str, RoomPlan], metric: bool) -> dict[str, Any]:
    """Return the drawing of the largest room that can be drawn; empty where none can."""
    for plan in sorted(rooms.values(), key=_floor, reverse=True):
        try:
            svg = plan_svg(plan, metric, ident="plan")
        except PlanError:
            continue
        return {"plan": {"name": plan.name, "svg": _in_print_colors(svg)}}
    return {}


def _floor(plan: RoomPlan) -> int:
    try:
        return abs(room_outline(plan).signed_double_area_nm2) if plan.legs else 0
    except PlanError:
        return 0


def _in_print_colors(svg: str) -> str:
    """Return a drawing without the classes by which a page gives it the colors of its own scheme."""
    return re.sub(r' class="[^"]*"', "", svg)
