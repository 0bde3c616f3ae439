"""The sheet layouts of `tests/data/sheet_cases.json`, read into what `lay` takes."""

import json
from fractions import Fraction
from pathlib import Path
from typing import Any

from django.conf import settings

from catalog.measures.lengths import NM_PER_INCH
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.surface import Surface

CASES = json.loads((Path(settings.BASE_DIR) / "tests" / "data" / "sheet_cases.json").read_text())
FIXED, FREE = CASES["sheet_layout_fixed"], CASES["sheet_layout_search"]


def nm(inches: float | int) -> int:
    """Whole nanometers; the cases are exact in eighths of an inch."""
    return int(Fraction(inches) * NM_PER_INCH)


def name(case: dict[str, Any]) -> str:
    return str(case["name"])


def surface(case: dict[str, Any]) -> Surface:
    rings = [case["floor"]["exterior"], *case["floor"]["holes"]]
    outline, *holes = [tuple((nm(x), nm(y)) for x, y in ring) for ring in rings]
    return Surface(outline, tuple(holes))


def sheet(case: dict[str, Any]) -> Sheet:
    return Sheet(nm(case["sheet"]["long"]), nm(case["sheet"]["short"]), NM_PER_INCH // 2)


def rules(case: dict[str, Any]) -> SheetRules:
    return SheetRules(
        gap_nm=nm(case["gap"]),
        perimeter_gap_nm=nm(case["perimeter_gap"]),
        kerf_nm=nm(case["kerf"]),
        min_offset_nm=nm(case["min_offset"]),
        min_piece_nm=nm(case["min_piece"]),
    )
