"""Files of catalog entries: what an entry must and may say, and everything that is wrong with one."""

import json
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

KINDS = ("materials", "operations", "assemblies", "bundles")

# What is given in one place of a file: what it must give, and what it may.
_KEYS: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    name: (frozenset(must.split()), frozenset(may.split()))
    for name, must, may in (
        ("file", "trade note", "cautions materials operations assemblies bundles"),
        ("cautions", "code text source", ""),
        (
            "materials",
            "code name unit source",
            "kind taxable caution cautions note sheet sizes_of stick packages",
        ),
        ("sheet", "length width", "thickness"),
        ("stick", "", "width"),
        ("packages", "name holds price supplier priced_on", ""),
        ("operations", "code name unit low hours high source", "set_up_hours wait_hours"),
        (
            "assemblies",
            "code name phase measure scope components",
            "purpose caution cautions deduct_material deduct_labor board tile companions after source",
        ),
        (
            "components",
            "",
            "material operation assembly scales_with rate formula inputs times waste set_up set_up_per"
            " source",
        ),
        ("tile", "joint offset", ""),
        ("companions", "assembly reason", ""),
        ("after", "assembly reason", ""),
        ("bundles", "code name assemblies", ""),
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
class Entry:
    """One entry of a file."""

    file: str
    data: Mapping[str, Any]

    @property
    def code(self) -> str:
        return str(self.data.get("code", ""))

    @property
    def where(self) -> str:
        """The words that say where it stands: file and code."""
        return f"{self.file}: {self.code or self.data.get('name') or 'an entry without a code'}"


@dataclass(frozen=True)
class Files:
    """What stands in the files of a folder: by kind the entries that have the keys they must have, and text
    where text belongs, with their "cautions"; what is wrong with the others, and their kinds and codes."""

    entries: Mapping[str, list[Entry]]
    faults: tuple[str, ...]
    unfit: frozenset[tuple[str, str]]


def read(folder: Path) -> Files:
    """All entries of the folder's files. Raises UnfitCatalog where a file can't be read at all, since what
    others name may stand in it."""
    entries: dict[str, list[Entry]] = {kind: [] for kind in ("cautions", *KINDS)}
    unfit: list[tuple[str, Entry]] = []
    faults: list[str] = []
    unread: list[str] = []
    for path in sorted(folder.glob("*.json")):
        try:
            data = json.loads(path.read_text("utf-8"), object_pairs_hook=_given_once)
        except ValueError as error:
            unread.append(f"{path.name}: the file: it can't be read as JSON in UTF-8 ({error}).")
            continue
        in_file = [f"{path.name}: the file: {fault}" for fault in _faults("file", data)]
        unread += in_file
        for kind in entries if not in_file else ():
            for item in data.get(kind, []):
                entry = Entry(path.name, item if isinstance(item, dict) else {})
                found = [f"{entry.where}: {fault}" for fault in _faults_within(kind, item)]
                faults += found
                if found:
                    unfit.append((kind, entry))
                else:
                    entries[kind].append(entry)
    if unread:
        raise UnfitCatalog([*unread, *faults])
    faults += _doubles(entries)
    if not faults and not any(entries.values()):
        faults.append(f"{folder.name}: the folder: no file in it has an entry.")
    return Files(entries, tuple(faults), frozenset((kind, entry.code) for kind, entry in unfit))


def _given_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """The values in one pair of braces. Raises ValueError where one is given twice."""
    for key, times in Counter(key for key, _ in pairs).items():
        if times > 1:
            raise ValueError(f"{key} is given {times} times in one pair of braces")
    return dict(pairs)


def _faults_within(kind: str, item: Any) -> Iterator[str]:
    if faults := list(_faults(kind, item)):
        yield from faults
        return
    for part in ("packages", "components", "companions", "after"):
        for each in item.get(part, []):
            faults += _faults(part, each)
    for key in _CODES:
        if not all(isinstance(each, str) for each in item.get(key, [])):
            faults.append(f"{key} must be a list of codes.")
    for part in ("sheet", "stick", "tile"):
        if part in item:
            faults += _faults(part, item[part])
    yield from faults or _repeats(item)


def _repeats(item: Mapping[str, Any]) -> Iterator[str]:
    """What stands twice in one entry and can stand there once only."""
    listed = [
        *(f"{each['name']} of {each['supplier']}" for each in item.get("packages", [])),
        *(f"the companion {each['assembly']}" for each in item.get("companions", [])),
        *(f"{each['assembly']} before it" for each in item.get("after", [])),
        *(f"the caution {each}" for each in item.get("cautions", [])),
        *(str(each) for each in item.get("assemblies", [])),
    ]
    for text, times in Counter(listed).items():
        if times > 1:
            yield f"{text} is listed {times} times: once is enough."
    if any(each["assembly"] == item["code"] for each in item.get("companions", [])):
        yield "it can't go with itself: name another assembly."


def _faults(place: str, item: Any) -> Iterator[str]:
    """What an item lacks, leaves blank, writes in another form, or says that nobody reads."""
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
        said_missing = key in must and item[key] in (None, "", [])
        if not said_missing and type(item[key]) is not wanted:
            yield f"{key} must be {_IN_WORDS.get(wanted, 'text in quotes')}."


def _doubles(entries: Mapping[str, list[Entry]]) -> Iterator[str]:
    for kind, of_kind in entries.items():
        for key in ("code", "name"):
            seen = Counter(str(entry.data.get(key, "")).casefold() for entry in of_kind)
            for entry in of_kind:
                text = str(entry.data.get(key, ""))
                if text and seen[text.casefold()] > 1:
                    yield f"{entry.where}: the {key} “{text}” is given to more than one of the {kind}."
