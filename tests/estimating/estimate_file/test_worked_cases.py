"""Cases worked out twice elsewhere, from the estimate file to the packages to buy.

`tests/data/paint_and_thinset_cases.json` holds them. What a room measures is held to the same cases in
test_geometry, the thinset of a square foot in catalog/test_formulas; here it is what is bought.
"""

import json
from decimal import Decimal
from fractions import Fraction
from math import ceil
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings

from catalog.assemblies.formulas import rate_from
from catalog.models import Component, Openings
from catalog.rows.values import CatalogReader
from estimating.estimate_file.reading import read
from estimating.estimates.draft import Draft
from tests.factories import add_component, make_assembly, make_firm, make_material, make_operation

pytestmark = pytest.mark.django_db
CASES = json.loads((Path(settings.BASE_DIR) / "tests" / "data" / "paint_and_thinset_cases.json").read_text())


def walls_of(corners: list[list[int]]) -> list[dict[str, str]]:
    """The walls of a square-cornered plan as they are walked, lengths in inches."""
    walls = []
    for number, (x, y) in enumerate(corners):
        (to_x, to_y), (then_x, then_y) = (corners[(number + step) % len(corners)] for step in (1, 2))
        cross = (to_x - x) * (then_y - to_y) - (to_y - y) * (then_x - to_x)
        walls.append(
            {"length": f"{abs(to_x - x) + abs(to_y - y)} in", "turn": "left" if cross > 0 else "right"}
        )
    return walls


def draft_of(reader: CatalogReader, work: dict[str, Any], *rooms: dict[str, Any]) -> Draft:
    job = {"name": "Job", "address": "Here", "date": "2026-11-24", "client": {"name": "Client"}}
    data = {"job": job, "rooms": rooms, "work": [work], "pricing": {"runs": 0}}
    return read(json.dumps(data), reader.firm, reader).draft()


def near(exact: Fraction, printed: str) -> bool:
    """Whether a figure, printed with four decimals, is this one."""
    return abs(exact - Fraction(printed)) <= Fraction(1, 1000)


@pytest.mark.parametrize("case", CASES["paint"], ids=lambda case: case["name"])
def test_wall_paint_of_a_room(case: dict[str, Any]) -> None:
    firm = make_firm(openings=Openings.ABOVE, openings_above_sqft=Decimal(case["deduct_min_sqft"]))
    walls = make_assembly("walls", measure="wall_net")
    spread = f"{case['coverage_sqft_per_gal']} sq ft per gal"
    add_component(walls, make_material("paint", "gal", "1", "40.00"), spread, times=case["coats"])
    cutting_in = make_operation("cut in", "1 hour per 100 ft", "ft")
    add_component(walls, cutting_in, "1 ft per ft", scales_with="cut_in")
    room = {
        "name": "Room",
        "shape": "walk",
        "walls": walls_of(case["room"]),
        "height": f"{case['height']} in",
        "device_boxes": case["device_boxes"],
        "openings": [
            {
                "kind": opening["kind"],
                "wall": wall,
                "width": opening["w"],
                "height": opening["h"],
                "sill": opening["sill"],
            }
            for wall, opening in zip("AB", case["openings"], strict=False)
        ],
        "fixed": [
            {"kind": "column", "length": far[0] - near_by[0], "depth": far[1] - near_by[1]}
            for near_by, _, far, _ in case["columns"]
        ],
    }
    work = {"assembly": "walls", "rooms": [{"room": "Room"}]}
    take_off = draft_of(CatalogReader(firm), work, room).take_off
    expected = case["expected"]
    (paint,) = take_off.materials
    assert near(paint.required, expected["wall_paint_gal"])
    assert paint.purchase is not None
    assert paint.purchase.package_count == ceil(Fraction(expected["wall_paint_gal"]))
    assert near(take_off.items[0].hours * 100, expected["cut_in_total_ft"])


@pytest.mark.parametrize("case", CASES["thinset"], ids=lambda case: case["name"])
def test_thinset_of_a_floor(case: dict[str, Any]) -> None:
    published = case["published_coverage_sqft_per_bag"]
    inputs = {
        "notch_width": str(case["notch_w_in"]),
        "notch_depth": str(case["notch_d_in"]),
        "land": str(case["land_in"]),
        "collapse": str(case["collapse_factor"]),
        "bag_yield": str(case["bag_yield_cuft"]),
        **({"coverage": str(published)} if published else {}),
    }
    rate = rate_from("thinset_bed", inputs)
    Component.objects.create(
        assembly=make_assembly("bed", measure="area"),
        material=make_material("thinset", "lb", str(case["bag_lb"]), "25.00"),
        rate_typed=rate.typed,
        rate=rate.per_unit,
        waste_percent=Decimal(str(case["waste"])) * 100,
    )
    by_hand = [{"measure": "area", "amount": str(case["area_sqft"])}]
    reader = CatalogReader(make_firm())
    draft = draft_of(reader, {"assembly": "bed", "measures": by_hand})
    (thinset,) = draft.take_off.materials
    assert near(thinset.required, case["expected"]["order_lb"])
    assert thinset.purchase is not None
    assert thinset.purchase.package_count == ceil(Fraction(case["expected"]["bags_exact"]))
