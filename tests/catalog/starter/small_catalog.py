"""A starting catalog of one assembly, and the shipped one's entries as their files have them."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

from catalog.starter.load import FOLDER

SMALL: dict[str, Any] = {
    "trade": "Paint",
    "note": "Invented.",
    "materials": [
        {
            "code": "paint",
            "name": "Paint",
            "unit": "gal",
            "source": "invented",
            "packages": [
                {
                    "name": "gallon",
                    "holds": "1",
                    "price": "40.00",
                    "supplier": "A store",
                    "priced_on": "2026-11-16",
                }
            ],
        }
    ],
    "operations": [
        {
            "code": "roll",
            "name": "Roll",
            "unit": "sq ft",
            "low": "200 sq ft per hour",
            "hours": "150 sq ft per hour",
            "high": "100 sq ft per hour",
            "source": "invented",
        }
    ],
    "assemblies": [
        {
            "code": "walls",
            "name": "Paint walls",
            "phase": "finish",
            "measure": "wall_net",
            "scope": "Walls are painted.",
            "components": [
                {"operation": "roll"},
                {"material": "paint", "rate": "350 sq ft per gal", "source": "invented"},
            ],
        }
    ],
    "kits": [{"code": "room", "name": "A room", "assemblies": ["walls"]}],
}


def write(folder: Path, **files: Any) -> Path:
    """Write files of entries, given as data or as text, and give the folder."""
    for name, data in files.items():
        text = data if isinstance(data, str) else json.dumps(data)
        (folder / f"{name}.json").write_text(text, "utf-8")
    return folder


def put(path: str, value: object) -> Callable[[dict[str, Any]], None]:
    """A change to a catalog: "materials 0 unit" names the place; None takes out what is there."""

    def change(data: dict[str, Any]) -> None:
        *steps, last = (int(step) if step.isdigit() else step for step in path.split())
        place: Any = data
        for step in steps:
            place = place[step]
        if value is None:
            del place[last]
        elif isinstance(last, int) and last == len(place):
            place.append(value)
        else:
            place[last] = value

    return change


def entries(kind: str) -> list[dict[str, Any]]:
    """All shipped entries of a kind."""
    files = (json.loads(path.read_text("utf-8")) for path in sorted(FOLDER.glob("*.json")))
    return [entry for file in files for entry in file.get(kind, [])]
