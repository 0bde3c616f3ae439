"""How long every main page takes on the firm that `ten_years` made, and how many queries it asks.

    BENCHRULE_DATA=FOLDER .venv/bin/python -m tests.benchmarks.pages [--rounds 30] [WORD ...]

The time is that of the processor in this one process, so that others on the machine don't count; of the
rounds, the time that 95 of 100 stay under. With words, pages whose name has one of them. On PostgreSQL the
server's own time isn't in it, so the time by the clock stands beside.
"""

import gc
import os
import sys
import time
from argparse import ArgumentParser
from collections.abc import Iterator

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
if __name__ == "__main__":
    django.setup()

from django.contrib.auth import get_user_model
from django.db import connection
from django.db.models import Count
from django.test import Client as Browser
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.models import Acceptance, Client, Document, Job


def addresses() -> Iterator[tuple[str, str]]:
    """Yield the name and address of every page that is measured."""
    year = timezone.localdate().year
    client = Client.objects.annotate(count=Count("jobs")).order_by("-count", "pk")[0]
    signed = Acceptance.objects.filter(document__kind=Document.Kind.ESTIMATE).order_by("-document__issued_at")
    kitchens = signed.filter(document__job__name__contains="kitchen")
    job = Job.objects.get(pk=kitchens.values_list("document__job", flat=True)[0])
    of_large = Job.objects.filter(client=client, documents__acceptance__isnull=False).distinct().latest("pk")
    span = f"?since={year}-01-01&until={year}-12-31&by=quarter"
    long = f"?since={year - 9}-01-01&until={year}-12-31&by=quarter"
    yield "Today", reverse("today")
    yield "Jobs", reverse("jobs")
    yield "Jobs, closed", reverse("jobs") + "?state=closed"
    yield "Jobs, closed, last page", reverse("jobs") + "?state=closed&page=70"
    yield "Jobs with a word", reverse("jobs") + "?words=birch"
    yield "Start a job", reverse("job-new")
    yield "Clients", reverse("clients")
    yield "Clients, a page with a word", reverse("clients") + "?words=birch&page=2"
    yield "Start a job, found", reverse("job-new") + "?find=birch"
    yield "All paperwork", reverse("papers")
    yield "All paperwork of a year", reverse("papers") + f"?year={year - 5}&page=3"
    yield "All paperwork with a word", reverse("papers") + "?words=birch"
    yield "Client of sixty jobs", reverse("client-edit", args=[client.pk])
    yield "Search, a word", reverse("search") + "?q=kitchen"
    yield "Search, a page of jobs", reverse("search") + "?q=kitchen&kind=jobs&page=9"
    yield "Search, a number", reverse("search") + "?q=1500"
    yield "Money", reverse("firm-money")
    for figure in ("billed", "paid", "held", "open", "overdue", "credit"):
        yield f"Money, {figure}", reverse("firm-figure", args=[figure])
    yield "For the bookkeeper", reverse("books")
    for file in ("sales-tax", "invoices", "payments", "journal", "materials"):
        yield f"CSV {file}, a year", reverse("books-file", args=[file]) + span
    yield "CSV sales-tax, ten years", reverse("books-file", args=["sales-tax"]) + long
    yield "Account of sixty jobs", reverse("client-account", args=[client.pk])
    yield "Records", reverse("records")
    for file in ("hours", "receipts", "miles"):
        yield f"CSV {file}, a year", reverse("records-file", args=[file]) + f"?year={year - 1}"
        yield f"CSV {file}, ten years", reverse("records-file", args=[file])
    yield "Year", reverse("year")
    yield "Days of all jobs", reverse("firm-days")
    yield "Learned from own jobs", reverse("own-jobs")
    for which, of in (("", job), (" of sixty", of_large)):
        for name, place in (
            ("Rooms", "job-rooms"),
            ("Work", "job-work"),
            ("Price", "job-price"),
            ("Days", "days"),
            ("Hours", "hours"),
            ("Receipts", "receipts"),
            ("Money", "job-money"),
            ("Paperwork", "job-papers"),
            ("What it made", "job-made"),
        ):
            yield f"Job{which}: {name}", reverse(place, args=[of.pk])
    yield "Take a payment", reverse("payment-new", args=[job.pk])
    bill = Document.objects.filter(job=job, kind=Document.Kind.INVOICE)[0]
    yield "An invoice", bill.get_absolute_url()
    yield "PDF statement of sixty", reverse("statement-pdf", args=[client.pk]) + span
    yield "PDF job file", reverse("job-file-pdf", args=[job.pk])


def main(arguments: list[str]) -> None:
    parser = ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--rounds", type=int, default=30)
    parser.add_argument("words", nargs="*")
    options = parser.parse_args(arguments)
    browser = Browser(SERVER_NAME="localhost")
    browser.force_login(get_user_model().objects.earliest("pk"))
    print(f"{connection.vendor}: page | p95 CPU ms | median | least | median by the clock | queries | KB")
    for name, address in addresses():
        if options.words and not any(word in name for word in options.words):
            continue
        rounds = min(options.rounds, 5) if name.startswith("PDF") else options.rounds
        try:
            print(f"{name} | {_measured(browser, address, rounds)}", flush=True)
        except Exception as error:  # one page that fails mustn't hide the others
            print(f"{name} | {address}: {type(error).__name__}: {error}", flush=True)


def _measured(browser: Browser, address: str, rounds: int) -> str:
    browser.get(address)
    gc.collect()
    gc.freeze()
    with CaptureQueriesContext(connection) as asked:
        answer = browser.get(address)
    queries = len(asked)  # the next request empties the list
    cpu, clock = [], []
    for _ in range(rounds):
        begun, begun_clock = time.process_time(), time.perf_counter()
        browser.get(address)
        cpu.append(1000 * (time.process_time() - begun))
        clock.append(1000 * (time.perf_counter() - begun_clock))
    cpu.sort()
    p95, median = cpu[min(int(rounds * 0.95), rounds - 1)], cpu[rounds // 2]
    status = "" if answer.status_code == 200 else f" (status {answer.status_code})"
    size = len(answer.content) / 1024
    times = (p95, median, cpu[0], sorted(clock)[rounds // 2])
    return f"{' | '.join(f'{took:.0f}' for took in times)} | {queries} | {size:.0f}{status}"


if __name__ == "__main__":
    main(sys.argv[1:])
