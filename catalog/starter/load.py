"""The starting catalog: checked whole, then put beside what the firm already has."""

from pathlib import Path

from django.db import transaction

from catalog.starter.files import UnfitCatalog, read
from catalog.starter.merge import LoadReport, StarterMerge
from catalog.starter.rows import StarterRows

__all__ = ["FOLDER", "LoadReport", "UnfitCatalog", "load"]

FOLDER = Path(__file__).parent


def load(folder: Path = FOLDER) -> LoadReport:
    """Put in what the catalog lacks and bring shipped rows up to date, value by value: what the firm changed,
    and rows that are its own, stay as it has them.

    All files are checked before anything is written: either all of it goes in or nothing. Raises
    UnfitCatalog with every fault at once.
    """
    rows = StarterRows(read(folder))
    rows.build()
    with transaction.atomic():
        return StarterMerge(rows).run()
