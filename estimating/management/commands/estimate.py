"""Price a job from a file."""

import json
import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError

from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimate_file.answer import answer
from estimating.estimate_file.reading import read
from estimating.estimate_file.rows import EstimateFile
from estimating.estimate_file.schema import SCHEMA, UnfitFile
from estimating.estimates.draft import Draft
from estimating.snapshots.estimate import what_is_missing


class Command(BaseCommand):
    help = (
        "Prices a job from a JSON file and prints how it comes about, as JSON. Nothing is stored. "
        f"{SCHEMA.name} says what a file may hold."
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file, or - to read what is piped in")
        parser.add_argument("--pdf", metavar="OUT", help="write the client's paper here too")

    def handle(self, *args: Any, file: str, pdf: str | None, **options: Any) -> None:
        text = _text(file)
        try:
            firm = Firm.current()
            job = read(text, firm, CatalogSpecs(firm))
        except UnfitFile as unfit:
            raise CommandError(str(unfit)) from unfit
        except DatabaseError as error:
            raise CommandError("The database isn't ready: python manage.py migrate") from error
        draft = job.draft()
        self.stdout.write(json.dumps(answer(draft, firm.metric), indent=2, ensure_ascii=False))
        if pdf:
            _write(Path(pdf), job, draft)


def _text(file: str) -> str:
    try:
        raw = sys.stdin.buffer.read() if file == "-" else Path(file).read_bytes()
        return raw.decode("utf-8-sig")
    except OSError as error:
        raise CommandError(f"{file}: the file can't be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise CommandError(f"{file}: the file isn't in UTF-8: save it so.") from error


def _write(path: Path, job: EstimateFile, draft: Draft) -> None:
    if missing := what_is_missing(draft):
        raise CommandError("\n".join(("No paper was made.", *missing)))
    try:
        path.write_bytes(make_pdf(job.paper(draft)))
    except PangoMissing as error:
        raise CommandError(str(error)) from error
    except OSError as error:
        raise CommandError(f"{path}: the paper can't be written there ({error.strerror}).") from error
