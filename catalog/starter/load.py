"""Loading the starting catalog: all files are checked first, then merged with what the firm has."""

from pathlib import Path

from django.db import transaction

from catalog.starter.files import UnfitCatalog, read_files
from catalog.starter.merge import LoadReport, StarterMerge
from catalog.starter.rows import StarterRows

__all__ = ["FOLDER", "LoadReport", "UnfitCatalog", "load"]

FOLDER = Path(__file__).parent


def load(folder: Path = FOLDER) -> LoadReport:
    """Add what the catalog lacks and bring shipped rows up to date, value by value; return what was done.

    What the firm changed, and rows that are its own, stay as it has them. All files are checked before
    anything is written: either everything is loaded or nothing. Raises UnfitCatalog with every fault at once.
    """
    rows = StarterRows(read_files(folder))
    rows.build()
    with transaction.atomic():
        return StarterMerge(rows).run()
