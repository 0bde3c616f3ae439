"""The cabinets and appliances of a job in plain words, and its walls drawn as they look, for a snapshot."""

from collections.abc import Iterator, Mapping
from typing import Any

from estimating.cabinets.units import width_in_words
from estimating.plain_text import list_in_words
from estimating.rooms.cabinet_runs import Cabinets, cabinets_of, run_in_words, run_place
from estimating.rooms.elevation import elevation_svg, walls_to_draw
from estimating.rooms.faults import plan_faults
from estimating.rooms.outline import wall_letter
from estimating.rooms.plan import RoomPlan
from estimating.snapshots.first_page import LARGER_ON_HALF, in_print_colors
from estimating.snapshots.priced_draft import PricedDraft


def cabinets_for_snapshot(draft: PricedDraft, show_walls: bool, metric: bool) -> dict[str, Any]:
    """Return the lists and the drawings; empty where they aren't to be shown, or no cabinets are listed.

    The lists are of rooms in which cabinets or fixtures are set, the drawings of every room with a list.
    """
    if not show_walls:
        return {}
    listed = {key: cabinets_of(plan) for key, plan in draft.rooms.items() if _is_right(plan)}
    listed = {key: cabinets for key, cabinets in listed.items() if cabinets.runs}
    set_in = {
        use.room for item in draft.take_off.items if item.work.phase == "set" for use in item.work.rooms
    }
    parts: dict[str, Any] = {
        "cabinets": [row for key, each in listed.items() if key in set_in for row in _rows(each, metric)],
        "appliances": [
            line for key, each in listed.items() if key in set_in for line in _appliances(each, metric)
        ],
        "walls": list(_walls(draft.rooms, listed, metric)),
    }
    return {key: part for key, part in parts.items() if part}


def _is_right(plan: RoomPlan) -> bool:
    return not any(plan_faults(plan))


def _rows(cabinets: Cabinets, metric: bool) -> Iterator[dict[str, str]]:
    for run in cabinets.runs:
        yield {"where": f"{cabinets.plan.name}, {run_place(run)}", "text": run_in_words(run, metric)}


def _appliances(cabinets: Cabinets, metric: bool) -> Iterator[str]:
    """Yield the appliances of a room in one line, each with the width of its opening."""
    said = [f"{each.name} {width_in_words(each.width_nm, metric)}" for each in cabinets.appliances]
    if said:
        yield f"{cabinets.plan.name}: {list_in_words(said)}"


def _walls(
    rooms: Mapping[str, RoomPlan], listed: Mapping[str, Cabinets], metric: bool
) -> Iterator[dict[str, str]]:
    for number, key in enumerate(listed):
        plan = rooms[key]
        for wall in walls_to_draw(plan):
            svg = elevation_svg(plan, wall, metric, ident=f"wall-{number}-{wall}", larger=LARGER_ON_HALF)
            yield {"caption": f"{plan.name}, wall {wall_letter(wall)}", "svg": in_print_colors(svg)}
