"""The starting catalog's files: what an entry must and may have, and all that is wrong with one."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

KINDS = ("materials", "operations", "assemblies", "kits")

# The keys that each place of a file must have, and those that it may have.
_KEYS: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    name: (frozenset(must.split()), frozenset(may.split()))
    for name, must, may in (
        ("file", "trade note", "cautions materials operations assemblies kits"),
        ("cautions", "code text source", "at_work"),
        (
            "materials",
            "code name unit source",
            "kind taxable caution cautions note sheet sizes_of stick packages",
        ),
        ("sheet", "length width", "thickness"),
        ("stick", "", "width"),
        ("packages", "name holds price supplier priced_on", ""),
        ("operations", "code name unit low hours high source", "set_up_hours wait_hours surface over_days"),
        (
            "assemblies",
            "code name phase measure scope components",
            "purpose caution cautions deduct_material deduct_labor board tile from_plan companions"
            " after source",
        ),
        (
            "components",
            "",
            "material operation assembly scales_with rate formula inputs times waste set_up set_up_per"
            " source",
        ),
        ("tile", "joint offset", "pattern"),
        ("companions", "assembly reason", ""),
        ("after", "assembly reason", ""),
        ("kits", "code name assemblies", ""),
    )
}
_LISTS = ("packages", "components", "companions", "after", "cautions", *KINDS)
_CODES = ("assemblies", "cautions")  # where an entry lists codes
_IN_WORDS = {bool: "true or false", int: "a whole number", dict: "named values in braces", list: "a list"}
_TYPES: Mapping[str, type] = {
    "taxable": bool,
    "times": int,
    "inputs": dict,
    "sheet": dict,
    "stick": dict,
    "tile": dict,
} | dict.fromkeys(_LISTS, list)


class UnfitCatalog(ValueError):
    """Files that can't be loaded; `faults` names each fault as "file: entry: sentence"."""

    def __init__(self, faults: Sequence[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


@dataclass(frozen=True)
class CatalogEntry:
    """One entry of a file."""

    file: str
    data: Mapping[str, Any]

    @property
    def code(self) -> str:
        return str(self.data.get("code", ""))

    @property
    def where(self) -> str:
        """The words that say where the entry is: file and code."""
        return f"{self.file}: {self.code or self.data.get('name') or 'an entry without a code'}"


@dataclass(frozen=True)
class CatalogFiles:
    """The contents of a folder's files.

    `entries` holds by kind (and under "cautions") the entries that have the keys they must have, and text
    where text belongs. `faults` says what is wrong with the others; `unfit` holds their kinds and codes.
    """

    entries: Mapping[str, list[CatalogEntry]]
    faults: tuple[str, ...]
    unfit: frozenset[tuple[str, str]]


def read_files(folder: Path) -> CatalogFiles:
    """Return all entries of the folder's files.

    Raises UnfitCatalog where a file can't be read at all, since entries of other files may name its own.
    """
    entries: dict[str, list[CatalogEntry]] = {kind: [] for kind in ("cautions", *KINDS)}
    unfit: list[tuple[str, CatalogEntry]] = []
    faults: list[str] = []
    unreadable: list[str] = []
    for path in sorted(folder.glob("*.json")):
        try:
            data = json.loads(path.read_text("utf-8"), object_pairs_hook=_given_once)
        except ValueError as error:
            unreadable.append(f"{path.name}: the file: it can't be read as JSON in UTF-8 ({error}).")
            continue
        of_file = [f"{path.name}: the file: {fault}" for fault in _faults("file", data)]
        unreadable += of_file
        for kind in entries if not of_file else ():
            for item in data.get(kind, []):
                entry = CatalogEntry(path.name, item if isinstance(item, dict) else {})
                of_entry = [f"{entry.where}: {fault}" for fault in _faults_within(kind, item)]
                faults += of_entry
                if of_entry:
                    unfit.append((kind, entry))
                else:
                    entries[kind].append(entry)
    if unreadable:
        raise UnfitCatalog([*unreadable, *faults])
    faults += _repeated_names(entries)
    if not faults and not any(entries.values()):
        faults.append(f"{folder.name}: the folder: no file in it has an entry.")
    return CatalogFiles(entries, tuple(faults), frozenset((kind, entry.code) for kind, entry in unfit))


def _given_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """Return the values in one pair of braces. Raises ValueError where one is given twice."""
    for key, times in Counter(key for key, _ in pairs).items():
        if times > 1:
            raise ValueError(f"{key} is given {times} times in one pair of braces")
    return dict(pairs)


def _faults_within(kind: str, item: Any) -> Iterator[str]:
    """Yield what is wrong with an entry and with what is inside it."""
    if faults := list(_faults(kind, item)):
        yield from faults
        return
    for part in ("packages", "components", "companions", "after"):
        for inner in item.get(part, []):
            faults += _faults(part, inner)
    for key in _CODES:
        if not all(isinstance(code, str) for code in item.get(key, [])):
            faults.append(f"{key} must be a list of codes.")
    for part in ("sheet", "stick", "tile"):
        if part in item:
            faults += _faults(part, item[part])
    yield from faults or _repeats(item)


def _repeats(item: Mapping[str, Any]) -> Iterator[str]:
    """Yield what is listed more than once in an entry and may be there only once."""
    listed = [
        *(f"{package['name']} of {package['supplier']}" for package in item.get("packages", [])),
        *(f"the companion {companion['assembly']}" for companion in item.get("companions", [])),
        *(f"{precedence['assembly']} before it" for precedence in item.get("after", [])),
        *(f"the caution {code}" for code in item.get("cautions", [])),
        *(str(code) for code in item.get("assemblies", [])),
    ]
    for text, times in Counter(listed).items():
        if times > 1:
            yield f"{text} is listed {times} times: once is enough."
    if any(companion["assembly"] == item["code"] for companion in item.get("companions", [])):
        yield "it can't go with itself: name another assembly."


def _faults(place: str, item: Any) -> Iterator[str]:
    """Yield what is wrong with the keys of an item: missing, blank, not read here, or of the wrong type."""
    if not isinstance(item, dict):
        yield f"what is listed under {place} must be named values in braces."
        return
    must, may = _KEYS[place]
    for key in sorted(must):
        if item.get(key) in (None, "", []):
            yield f"{key} is missing from {place}."
    for key in sorted(item.keys() - must - may):
        yield f"{key} isn't read in {place}: check its spelling."
    for key in sorted(item.keys() & (must | may)):
        wanted = _TYPES.get(key, str)
        is_missing = key in must and item[key] in (None, "", [])
        if not is_missing and type(item[key]) is not wanted:
            yield f"{key} must be {_IN_WORDS.get(wanted, 'text in quotes')}."


def _repeated_names(entries: Mapping[str, list[CatalogEntry]]) -> Iterator[str]:
    """Yield each entry whose code or name another entry of its kind has too."""
    for kind, of_kind in entries.items():
        for key in ("code", "name"):
            seen = Counter(str(entry.data.get(key, "")).casefold() for entry in of_kind)
            for entry in of_kind:
                text = str(entry.data.get(key, ""))
                if text and seen[text.casefold()] > 1:
                    yield f"{entry.where}: the {key} “{text}” is given to more than one of the {kind}."
