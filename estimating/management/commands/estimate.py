"""Price a job from a file."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimate_file.answer import answer
from estimating.estimate_file.reading import read
from estimating.estimate_file.rows import EstimateFile
from estimating.estimate_file.schema import SCHEMA, UnfitFile
from estimating.estimates.draft import Draft
from estimating.management.text_file import read_text
from estimating.snapshots.priced_draft import reasons_not_ready


class Command(BaseCommand):
    help = (
        "Prices a job from a JSON file and prints how it comes about, as JSON. Nothing is stored. "
        f"{SCHEMA.name} says what a file may hold."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file, or - to read what is piped in")
        parser.add_argument("--pdf", metavar="OUT", help="write the client's paper here too")

    def handle(self, *args: Any, file: str, pdf: str | None, **options: Any) -> None:
        text = read_text(file)
        try:
            firm = Firm.current()
            job = read(text, firm, CatalogReader(firm))
        except UnfitFile as unfit:
            raise CommandError(str(unfit)) from unfit
        except DatabaseError as error:
            raise CommandError("The database isn't ready: python manage.py migrate") from error
        draft = job.draft()
        self.stdout.write(json.dumps(answer(draft, firm.metric), indent=2, ensure_ascii=False))
        if pdf:
            _write_pdf(Path(pdf), job, draft)


def _write_pdf(path: Path, job: EstimateFile, draft: Draft) -> None:
    """Write the client's estimate. Raises CommandError where it isn't ready, or can't be drawn or written."""
    if reasons := reasons_not_ready(draft):
        raise CommandError("\n".join(("No paper was made.", *reasons)))
    try:
        path.write_bytes(make_pdf(job.snapshot(draft)))
    except PangoMissing as error:
        raise CommandError(str(error)) from error
    except OSError as error:
        raise CommandError(f"{path}: the paper can't be written there ({error.strerror}).") from error
