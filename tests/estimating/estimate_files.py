"""An estimate file that says everything that one may say, and ways to change it."""

import copy
from typing import Any

FULL: dict[str, Any] = {
    "job": {
        "name": "Kitchen",
        "address": "418 Larkspur Lane",
        "year_built": 1986,
        "tax_policy": "everything",
        "tax_percent": "6.5",
        "notes": "Ring twice.",
        "date": "2026-11-24",
        "client": {"name": "Marisol Okonjo", "email": "okonjo@example.com"},
    },
    "rooms": [
        {
            "name": "Kitchen",
            "shape": "rectangle",
            "length": "12'",
            "width": "10'",
            "height": "8'",
            "device_boxes": 4,
            "openings": [
                {"kind": "door", "name": "Back door", "wall": "D", "width": "36", "height": 80},
                {"kind": "window", "wall": "A", "width": "3'", "height": "4'", "sill": "3'", "offset": "2'"},
            ],
            "fixed": [
                {"kind": "island", "wall": None, "length": "4'", "depth": "30", "off_floor": True},
                {"kind": "column", "length": "12", "depth": "12"},
                {"kind": "cabinets", "name": "Sink run", "wall": "B", "length": "10'", "depth": "24"},
            ],
        },
        {
            "name": "Hall",
            "shape": "l",
            "length": "10'",
            "width": "8'",
            "cut_length": "4'",
            "cut_width": "3'",
            "height": "8'",
            "heights": [{"wall": "B", "offset": "0", "height": "9' 6\""}],
            "openings": [
                {
                    "kind": "niche",
                    "wall": "F",
                    "width": "14",
                    "height": "24",
                    "sill": "48",
                    "offset": "1'",
                    "recess": "3-1/2",
                }
            ],
            "fixed": [
                {"kind": "soffit", "wall": "F", "length": "5'", "depth": "12", "height": "10"},
                {
                    "kind": "other",
                    "wall": "A",
                    "offset": "6'",
                    "off_wall": "3'",
                    "length": "2'",
                    "depth": "1'",
                    "height": "3'",
                },
            ],
        },
        {
            "name": "Bay",
            "shape": "walk",
            "height": "7' 9\"",
            "balanced": True,
            "walls": [
                {"length": "10'", "turn": "right"},
                {"length": "6'", "turn": "45 right"},
                {"length": "2' 6\"", "turn": "45 right"},
                {"length": "6'", "turn": "straight"},
                {"length": "2'"},
                {"length": "8'", "turn": "right"},
            ],
        },
    ],
    "work": [
        {
            "assembly": "floor-paint",
            "rooms": [{"room": "Kitchen"}, {"room": "Hall", "walls": ["A", "C"]}],
            "measures": [{"measure": "floor", "amount": "200.5", "reason": "as the old plan says"}],
            "client_supplies": [{"material": "paint", "needed_by": "2026-12-01"}],
            "hours": "1.5",
            "material": 12.5,
        },
        {
            "assembly": "wall-paint",
            "title": "Hall walls",
            "conditions": ["occupied", "far"],
            "rooms": [{"room": "Hall", "walls": ["A", "C"]}],
            "option": True,
            "decide_by": "2026-12-11",
        },
        {"title": "Dumpster", "phase": "take_out", "equipment": "465.00", "subcontract": "20"},
        {"assembly": "cabinets", "measures": [{"measure": "each", "amount": "18"}]},
    ],
    "allowances": [
        {"name": "Sink", "basis": "cost", "amount": "300", "covers_tax": False, "decide_by": "2026-12-04"},
        {"name": "Tap", "basis": "price", "amount": "150.00", "phase": "trim"},
    ],
    "if_found": [
        {"name": "Rotten subfloor", "unit": "sq ft", "price": "14.00", "most": 64},
        {
            "name": "A weak joist",
            "unit": "hour",
            "price": 80,
            "most": "8",
            "by_receipt": True,
            "caution": "Local code decides.",
        },
    ],
    "opened": ["A plank at the sink, dry."],
    "pricing": {
        "labor_rate": "60.00",
        "labor_markup": "10 margin",
        "runs": 2,
        "contingency_percent": 5,
        "contingency_of": "cost",
    },
    "assumptions": ["Heat is on.", "The floor is sound."],
    "exclusions": ["Permits"],
    "left_as_is": ["Window"],
    "terms": "Paid when done.",
    "on_hand": [{"material": "paint", "amount": "0.5 gal"}],
    "set_aside": ["wall-paint"],
}


def changed(*path: str | int, to: Any = None) -> dict[str, Any]:
    """Return the full file with one value replaced."""
    data = copy.deepcopy(FULL)
    holder: Any = data
    for step in path[:-1]:
        holder = holder[step]
    holder[path[-1]] = to
    return data
