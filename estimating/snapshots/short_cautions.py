"""Cautions as a paper sets them: those with one ending share it, and lines are named by their numbers."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

_ENDINGS = ("; local code and licensed practice decide.", " Local code and licensed practice decide.")
SHARED = "Local code and licensed practice decide in all of these."


@dataclass(frozen=True)
class ShortCaution:
    """A caution without the ending that others have too; `lines` says which work it is about."""

    text: str
    lines: str


@dataclass(frozen=True)
class ShortCautions:
    """The cautions of a paper; `shared` is the sentence that holds for all of them, empty for none."""

    rows: tuple[ShortCaution, ...]
    shared: str


def short_cautions(snapshot: Mapping[str, Any]) -> ShortCautions:
    """Return the cautions of a snapshot, set short."""
    numbers = {work["title"]: work["number"] for group in snapshot.get("scope", ()) for work in group["work"]}
    cautions = snapshot["cautions"]
    ends = [next(filter(caution["text"].endswith, _ENDINGS), "") for caution in cautions]
    share = sum(map(bool, ends)) > 1
    rows = []
    for caution, end in zip(cautions, ends, strict=True):
        text = f"{caution['text'].removesuffix(end).rstrip('.;')}." if share and end else caution["text"]
        rows.append(ShortCaution(text, _lines(caution["work"], numbers)))
    shared = SHARED if share and all(ends) else SHARED.replace("all", "most") if share else ""
    return ShortCautions(tuple(rows), shared)


def _lines(work: str, numbers: Mapping[str, str]) -> str:
    """Return the numbers of the work, from its titles as a sentence lists them; the titles where one has
    no number."""
    found = [
        (place, number) for title, number in numbers.items() if (place := work.find(title)) >= 0 and number
    ]
    if not work or not found:
        return work
    named = [number for _, number in sorted(found)]
    return f"line {named[0]}" if len(named) == 1 else f"lines {', '.join(named)}"
