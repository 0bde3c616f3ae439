"""Plan the days of a job from a file."""

import json
from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from estimating.management.text_file import read_text
from estimating.schedule.calendar import NoWorkingHours
from estimating.schedule.case import plan_case
from estimating.schedule.steps import CannotPlan


class Command(BaseCommand):
    help = (
        "Plans the work of one person from a JSON file and prints when each task starts, as JSON: `starts`, "
        "`makespan_work_hours`, `lower_bound_work_hours` and `proven`. Nothing is stored. The file holds "
        "`start`, `tasks` (each with `hours`, `split`, `after`), and may hold `holidays` and `hours_per_day`."
    )
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("file", metavar="FILE", help="the file, or - to read what is piped in")

    def handle(self, *args: Any, file: str, **options: Any) -> None:
        try:
            answer = plan_case(json.loads(read_text(file)))
        except json.JSONDecodeError as error:
            raise CommandError(f"{file}: this isn't JSON: {error}") from error
        except (CannotPlan, NoWorkingHours) as error:
            raise CommandError(str(error)) from error
        self.stdout.write(json.dumps(answer, indent=2, ensure_ascii=False))
