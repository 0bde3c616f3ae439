"""The starting catalog: checked whole, then put beside what the firm already has."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from django.db import transaction

from catalog.starter_files import KINDS, UnfitCatalog, read
from catalog.starter_rows import MODELS, StarterRows

__all__ = ["FOLDER", "LoadReport", "UnfitCatalog", "load"]

FOLDER = Path(__file__).parent / "starter"


@dataclass(frozen=True)
class LoadReport:
    """Names of the entries put in and of those left as the firm has them, by kind ("materials")."""

    created: Mapping[str, tuple[str, ...]]
    left: Mapping[str, tuple[str, ...]]

    def in_words(self) -> list[str]:
        """A line for each kind, such as "Materials: 41 put in, 2 left as you have them."."""
        return [
            f"{kind.capitalize()}: {len(self.created[kind])} put in, "
            f"{len(self.left[kind])} left as you have them."
            for kind in KINDS
        ]


def load(folder: Path = FOLDER) -> LoadReport:
    """Put in the entries whose code the catalog lacks; rows that exist stay as the firm has them.

    All files are checked before anything is written: either all of it goes in or nothing. Raises
    UnfitCatalog with every fault at once.
    """
    entries = read(folder)
    StarterRows(entries).build()
    with transaction.atomic():
        have = {kind: {row.code: row for row in model.objects.all()} for kind, model in MODELS.items()}
        rows = StarterRows(entries, have)
        rows.build()
        rows.save()
    return LoadReport(
        {kind: tuple(row.name for row in rows.new[kind].values()) for kind in KINDS},
        {
            kind: tuple(have[kind][entry.code].name for entry in entries[kind] if entry.code in have[kind])
            for kind in KINDS
        },
    )
