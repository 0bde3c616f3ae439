"""The range of a sum of uncertain hours, from a file."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from estimating.management.text_file import read_text
from estimating.ranges.case import UnfitCase, read_case

PLACES = 6


class Command(BaseCommand):
    help = (
        "Reads one case from a JSON file, with kind (triangular or pert), rho (from 0 to 1) and tasks (each "
        "best, likely and worst hours), and prints the mean, the standard deviation, and the hours that are "
        "enough one time out of two and four times out of five, as JSON."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file, or - to read what is piped in")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            found = read_case(json.loads(read_text(file))).range()
        except UnfitCase as unfit:
            raise CommandError(f"{file}: {unfit}") from unfit
        except (ValueError, RecursionError) as error:
            raise CommandError(f"{file}: this isn't JSON: {error}") from error
        figures = {"mean": found.mean, "sd": found.sd, "p50": found.even_chance, "p80": found.four_of_five}
        self.stdout.write(
            json.dumps({name: round(value, PLACES) for name, value in figures.items()}, indent=2)
        )
