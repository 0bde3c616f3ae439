"""A hall bath, a powder room and a whole kitchen, each phase beside a second estimate made apart from ours.

The second one is a remodeler's judgement of days for one man in a house that is lived in, `from memory`,
written down before ours was worked out. Where they differ by more than a quarter, the row says why.
"""

from collections import defaultdict
from decimal import Decimal
from pathlib import Path

import pytest
from django.conf import settings

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.estimate_file.answer import answer
from estimating.estimate_file.reading import read

ROOMS = Path(settings.BASE_DIR) / "demo_fixtures" / "rooms"
# By phase: the second estimate's hours, ours, and why where they are far apart.
BESIDE = {
    "hall_bath": {
        "protect": ("9", "9.24", ""),
        "take_out": ("14", "17.30", ""),
        "rough": ("10", "14.69", "a fan with its duct, 5.65 hours, wasn't thought of"),
        "board": ("18", "9.90", "new drywall on the other walls was thought of, and isn't in it"),
        "finish": ("34", "31.95", ""),
        "floor": ("10", "8.08", ""),
        "set": ("10", "11.95", ""),
        "trim": ("8", "6.03", ""),
        "close": ("8", "8.88", ""),
    },
    "powder_room": {
        "protect": ("4", "3.21", ""),
        "take_out": ("4", "5.91", "hauling is 2.25 hours a load, however small"),
        "rough": ("1.5", "0.85", "25 sq ft of subfloor is soon screwed down; a guess either way"),
        "board": ("3", "1.97", "four boards, of which two are cut"),
        "finish": ("8", "6.86", ""),
        "floor": ("7", "7.55", ""),
        "set": ("7", "10.51", "stops, light and mirror were thought of as one"),
        "trim": ("5", "6.02", ""),
        "close": ("3", "3.74", ""),
    },
    "whole_kitchen": {
        "protect": ("12", "20.40", "permit and temporary kitchen, 7.5 hours, weren't thought of"),
        "take_out": ("24", "25.97", ""),
        "rough": ("8", "9.40", ""),
        "board": ("12", "16.50", "backer board of 120 sq ft is cut round the cabinets"),
        "finish": ("30", "26.87", ""),
        "floor": ("30", "33.02", ""),
        "set": ("55", "81.83", "crown, rail, five appliances, backsplash and lights are 41 hours"),
        "trim": ("12", "11.05", ""),
        "close": ("12", "21.94", "three inspections and ten items of the punch list are 8.5 hours"),
    },
}  # fmt: skip

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]


def worked_out(room: str, reader: CatalogReader) -> tuple[dict[str, Decimal], list[str]]:
    file = read((ROOMS / f"{room}.json").read_text("utf-8"), Firm(pk=1, labor_rate=Decimal("80.00")), reader)
    answered = answer(file.draft())
    hours: dict[str, Decimal] = defaultdict(Decimal)
    for line in answered["lines"]:
        if line["kind"] == "work":
            hours[line["phase"]] += Decimal(line["hours"].split()[0])
    return dict(hours), answered["problems"]


@pytest.mark.parametrize("room", BESIDE)
def test_a_whole_room_is_quoted_with_each_phase_beside_a_second_estimate(
    shipped: CatalogReader, room: str
) -> None:
    hours, problems = worked_out(room, shipped)
    assert problems == []
    assert hours.keys() == BESIDE[room].keys()
    for phase, (second, ours, why) in BESIDE[room].items():
        assert abs(hours[phase] - Decimal(ours)) <= Decimal("0.05"), (phase, hours[phase])
        far = abs(Decimal(ours) - Decimal(second)) > Decimal(second) / 4
        assert far is bool(why), phase
