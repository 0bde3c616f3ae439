"""Prepare the demo and serve it."""

import contextlib
import gc
from argparse import ArgumentParser
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import connection
from django.utils import timezone

from access.management.commands.serve import add_address_arguments, free_address
from catalog.money.amounts import format_price
from demo.load import Demo, SomebodysOwn, load_demo
from estimating.database.start import CannotStart, check_whole, sqlite_path
from estimating.documents.estimate import prepare_estimate
from estimating.documents.issue import CannotIssue
from estimating.documents.pdf import PangoMissing, make_pdf
from estimating.estimates.draft import read_draft
from estimating.estimates.snapshots import pdf_file_name
from estimating.models import Estimate


class Command(BaseCommand):
    help = "Prepares the database, puts an invented firm and its jobs in, and serves the site."

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--no-serve", action="store_true", help="stop before serving")
        add_address_arguments(parser)

    def handle(self, *args: Any, no_serve: bool, lan: bool, port: int, **options: Any) -> None:
        if not no_serve:
            free_address(lan, port)
        _check_database()
        with _garbage_seldom_collected():
            call_command("migrate", interactive=False, verbosity=0)
            try:
                demo = load_demo(settings.DATA_DIR, timezone.localdate())
            except SomebodysOwn as error:
                raise CommandError(str(error)) from error
            self._report_contents(demo)
            self._write_estimate(demo)
        self._report_client_pages(demo, port)
        self._report_sign_in(demo)
        if not no_serve:
            call_command("serve", lan=lan, port=port, stdout=self.stdout)

    def _report_contents(self, demo: Demo) -> None:
        self.stdout.write(f"Database: {connection.settings_dict['NAME']}")
        self.stdout.write(f"Firm: {demo.firm.name}, {_state(demo.firm_is_new)}.")
        for line in demo.catalog.in_words():
            self.stdout.write(line)
        for name, job in demo.jobs.items():
            self.stdout.write(f"Job: {job.name}, {_state(name in demo.new_jobs)}.")

    def _write_estimate(self, demo: Demo) -> None:
        """Write the PDF of the kitchen's estimate as it stands now, and report its hours and sums."""
        job = demo.jobs["kitchen"]
        estimate = Estimate.current(job, demo.firm, timezone.localdate())
        draft = read_draft(estimate, demo.firm)
        try:
            snapshot = prepare_estimate(estimate, demo.firm, draft).snapshot
        except CannotIssue as error:
            self.stdout.write("\n".join((f"No paper of {job.name} was made.", *error.reasons)))
            return
        path = Path(settings.DATA_DIR) / pdf_file_name("estimate", job)
        try:
            path.write_bytes(make_pdf(snapshot))
        except PangoMissing as error:
            raise CommandError(str(error)) from error
        priced = draft.priced
        self.stdout.write(f"Estimate of {job.name}: {path}")
        self.stdout.write(f"Hours: {priced.hours}, {priced.working_days} working days")
        self.stdout.write(f"Cost to the firm: {format_price(priced.cost)}")
        self.stdout.write(f"Sales tax on top: {format_price(priced.tax)}")
        self.stdout.write(f"Total: {format_price(priced.total)}")

    def _report_client_pages(self, demo: Demo, port: int) -> None:
        """Report what the clients hold: each opens without signing in."""
        self.stdout.write("What the clients see, each by a link of their own:")
        for title, path in demo.client_pages.items():
            self.stdout.write(f"  {title}: http://127.0.0.1:{port}{path}")

    def _report_sign_in(self, demo: Demo) -> None:
        password = demo.password or "the one that you gave it (python manage.py changepassword demo)"
        self.stdout.write(f"Sign in as: {demo.user}")
        self.stdout.write(f"Password: {password}")


def _state(is_new: bool) -> str:
    return "put in" if is_new else "left as you have it"


@contextlib.contextmanager
def _garbage_seldom_collected() -> Iterator[None]:
    """Take a tenth off the time, for 100 MB of memory: migrations and papers make much that stays a while."""
    usual = gc.get_threshold()
    gc.set_threshold(100_000, 50, 50)
    try:
        yield
    finally:
        gc.set_threshold(*usual)
        gc.collect()


def _check_database() -> None:
    """Refuse a database that is there and damaged, before anything is written to it."""
    path = sqlite_path()
    if path is None or not path.exists() or not path.stat().st_size:
        return
    try:
        check_whole()
    except CannotStart as error:
        raise CommandError(str(error)) from error
