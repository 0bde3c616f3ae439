"""Kills the whole service at random instants under eight writers, and looks at what is left.

`python -m tests.drill.kill_drill --kills 500` prints as JSON what came of it; a test runs it with a few. The
writers save rooms, issue estimates, bill and take payments over HTTP, each by the forms of the pages; what a
kill cuts off is sent again as it was, by the same form, as a browser would. Each answer that says "saved" is
noted here, outside of the service. At the end all of them must be in the database once, numbers must run
without gap or double, and the chain of events must verify.
"""

import argparse
import http.client
import json
import os
import random
import signal
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections import Counter as Counts
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode, urlsplit

WRITERS = 8  # half of them save rooms and issue, half bill and take payments
MILESTONES = 10
EACH = ("rooms saved", "estimates issued", "bills issued", "payments taken")
RUNS_LONGEST = 6.0  # seconds that a service lives once it answers
STARTING = 0.1  # the share of kills while it starts
FOOT = 304_800_000  # nanometers
SLOW = 120  # seconds that a writer waits for an answer

Sent = list[tuple[str, str]]


@dataclass
class Drill:
    """What the writers know: where the service is, whether to stop, and what was acknowledged."""

    port: int
    session: str
    ends: threading.Event = field(default_factory=threading.Event)
    lock: threading.Lock = field(default_factory=threading.Lock)
    widths: dict[int, list[int]] = field(default_factory=dict)  # rooms: the last that was saved, then tried
    issued: list[str] = field(default_factory=list)  # the addresses that issuing led to
    paid: list[str] = field(default_factory=list)
    troubles: list[str] = field(default_factory=list)
    done: Counts[str] = field(default_factory=Counts)

    def note(self, what: str, to: list[str] | None = None, value: str = "") -> None:
        with self.lock:
            self.done[what] += 1
            if to is not None:
                to.append(value)


class Over(Exception):
    """The drill has ended while a writer was waiting."""


class Writer:
    """A browser that sends again what was cut off."""

    def __init__(self, drill: Drill) -> None:
        self.drill, self.cookies = drill, {"sessionid": drill.session}

    def ask(self, path: str, sent: Sent | None = None) -> tuple[int, str, bytes]:
        """Return status, where it leads to and content; ask again until there is an answer."""
        while not self.drill.ends.is_set():
            connection = http.client.HTTPConnection("127.0.0.1", self.drill.port, timeout=SLOW)
            headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
            if sent is not None:
                headers["Content-Type"] = "application/x-www-form-urlencoded"
            try:
                connection.request("GET" if sent is None else "POST", path, urlencode(sent or []), headers)
                answer = connection.getresponse()
                content = answer.read()
            except (OSError, http.client.HTTPException):
                time.sleep(0.1)
                continue
            finally:
                connection.close()
            for line in answer.headers.get_all("Set-Cookie", []):
                self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(line).items()}
            return answer.status, urlsplit(answer.headers.get("Location", "")).path, content
        raise Over

    def fill(self, page: str, action: str, **typed: str) -> tuple[int, str, bytes]:
        """Send the form of a page that posts to an address, with something typed in."""
        from tests.saving.site import forms_on

        status, _, content = self.ask(page)
        found = [form for form in forms_on(page, content) if urlsplit(form.action).path == action]
        if status != 200 or not found:
            return status, "", content
        values = {**found[0].sent, **{name: [value] for name, value in typed.items()}}
        return self.ask(action, [(name, value) for name, some in values.items() for value in some])


def issues(drill: Drill, job: int, room: int) -> None:
    """Change a room and issue the estimate anew, again and again."""
    from django.urls import reverse

    writer, page, width = Writer(drill), reverse("room-edit", args=[room]), 10
    issue = reverse("document-issue", args=[job])
    while True:
        width = 13 + (width + 1) % 80  # other than what the room begins with
        with drill.lock:
            drill.widths.setdefault(room, []).append(width)
        sides = {"walls-0-length": f"{width}'", "walls-2-length": f"{width}'"}
        status, leads_to, _ = writer.fill(page, page, **sides)
        if status == 302 and leads_to:
            with drill.lock:
                drill.widths[room] = [width]
            drill.note("rooms saved")
        else:
            drill.note(f"room: {status}")
        status, leads_to, _ = writer.fill(issue, issue)
        if status == 302 and leads_to:
            drill.note("estimates issued", drill.issued, leads_to)
        else:
            drill.note(f"issue: {status}")


def bills(drill: Drill, place: int, jobs: list[int]) -> None:
    """Bill the milestones of jobs and take a payment for each bill; then take payments alone."""
    from django.urls import reverse

    writer, payments = Writer(drill), 0
    for job in jobs:
        money, bill, issue = (reverse(name, args=[job]) for name in ("job-money", "bill", "bill-issue"))
        start, paid = reverse("bill-start", args=[job]), reverse("payment-new", args=[job])
        for _ in range(MILESTONES):
            writer.fill(money, start)
            status, leads_to, _ = writer.fill(bill, issue)
            if status == 302 and leads_to:
                drill.note("bills issued", drill.issued, leads_to)
            else:
                drill.note(f"bill: {status}")
            payments += 1
            reference = f"{place}-{payments}"
            typed = {"amount": "5.00", "method": "check", "reference": reference, "keep_over": "on"}
            status, leads_to, _ = writer.fill(paid, paid, **typed)
            if status == 302 and leads_to:
                drill.note("payments taken", drill.paid, reference)
            else:
                drill.note(f"payment: {status}")


def prepare(bill_jobs: int) -> tuple[str, list[tuple[int, int]], list[list[int]]]:
    """Fill the database; return a session, job and room of those that issue, and the jobs to bill."""
    from django.conf import settings
    from django.contrib.auth.models import User
    from django.test import Client
    from django.utils import timezone

    from estimating.documents.issue import issue
    from invoicing.milestones.templates import PlanTemplateStep
    from invoicing.payment_plan.milestones import mark_reached
    from invoicing.payment_plan.templates import create_plan
    from tests.blank_papers import papers_left_blank
    from tests.estimating.issuing import another_floor, painted_floor, unissued
    from tests.estimating.signed_kitchen import sign_on_paper
    from tests.factories import make_firm
    from tests.invoicing.bills import BILLING_FIRM

    now = timezone.now() - timedelta(days=10)  # the days to cancel are over
    today = timezone.localdate(now)
    first = painted_floor(work_begins_on=today)
    make_firm(**BILLING_FIRM)
    half, jobs = WRITERS // 2, []
    steps = [PlanTemplateStep(f"Part {n}", "-", share_percent=Decimal(10)) for n in range(1, MILESTONES)]
    steps.append(PlanTemplateStep("The rest", "-"))
    issuers = []
    for estimate in [first, *(another_floor(first) for _ in range(half - 1))]:
        estimate.dated = today
        estimate.save()
        issuers.append((estimate.job_id, estimate.job.rooms.get().pk))
    with papers_left_blank():
        for _ in range(half * bill_jobs):
            estimate = another_floor(first)
            estimate.dated = today
            estimate.save()
            document = issue(unissued(estimate), now)
            sign_on_paper(document, on=today, at=now)
            plan = create_plan(document.job, steps)
            for milestone in plan.milestones.all():
                mark_reached(milestone, today)
            jobs.append(document.job_id)
    settings.ALLOWED_HOSTS.append("testserver")
    client = Client()
    client.force_login(User.objects.create_user("pat"))
    return client.session.session_key or "", issuers, [jobs[place::half] for place in range(half)]


def run(kills: int, seconds: float, longest: float, bill_jobs: int, dice: random.Random) -> Mapping[str, Any]:
    """Run the drill on the database that the environment names; return what came of it."""
    session, issuers, billers = prepare(bill_jobs)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = int(listener.getsockname()[1])
    drill = Drill(port, session)
    writers = [threading.Thread(target=_until_over, args=(drill, issues, *each)) for each in issuers]
    writers += [
        threading.Thread(target=_until_over, args=(drill, bills, place, jobs))
        for place, jobs in enumerate(billers)
    ]
    service = _start(port)
    for writer in writers:
        writer.start()
    killed, until = 0, time.monotonic() + seconds
    try:
        while killed < kills and time.monotonic() < until:
            if dice.random() < STARTING:
                time.sleep(dice.uniform(0, 2))
            else:
                _wait_until_it_answers(port, service)
                time.sleep(dice.uniform(0, longest))
            os.killpg(service.pid, signal.SIGKILL)
            service.wait()
            killed += 1
            service = _start(port)
        _wait_until_it_answers(port, service)
        time.sleep(2)  # what was cut off last is sent again
        deadline = time.monotonic() + SLOW
        while not all(drill.done[what] for what in EACH) and time.monotonic() < deadline:
            time.sleep(0.5)
    finally:
        drill.ends.set()
        os.killpg(service.pid, signal.SIGKILL)
        service.wait()
    for thread in writers:
        thread.join(SLOW)
    return {
        "kills": killed,
        "done": dict(sorted(drill.done.items())),
        "wrong": drill.troubles + _wrong(drill),
    }


def _until_over(drill: Drill, work: Any, *arguments: Any) -> None:
    try:
        work(drill, *arguments)
    except Over:
        pass
    except Exception as error:
        drill.troubles.append(f"A writer stopped: {error!r}")


def _start(port: int) -> subprocess.Popen[bytes]:
    command = [sys.executable, "manage.py", "serve", "--collected", "--port", f"{port}"]
    nowhere = subprocess.DEVNULL
    return subprocess.Popen(command, start_new_session=True, stdout=nowhere, stderr=nowhere)


def _wait_until_it_answers(port: int, service: subprocess.Popen[bytes]) -> None:
    deadline = time.monotonic() + SLOW
    while True:
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=20)
        try:
            connection.request("GET", "/sign-in/")
            connection.getresponse().read()
            return
        except (OSError, http.client.HTTPException):
            if service.poll() is not None or time.monotonic() > deadline:
                raise RuntimeError("The service doesn't come up again.") from None
            time.sleep(0.1)
        finally:
            connection.close()


def _wrong(drill: Drill) -> list[str]:
    """Return a sentence for each acknowledged save that isn't there once, and each number out of line."""
    from django.db import transaction

    from estimating.models import Document, Room
    from estimating.verification.documents import faults
    from invoicing.models import Payment

    wrong = []
    there = {f"{pk}" for pk in Document.objects.values_list("pk", flat=True)}
    wrong += [f"{address} is gone." for address in drill.issued if address.split("/")[2] not in there]
    for kind, prefix in set(Document.objects.values_list("kind", "prefix")):
        rows = Document.objects.filter(kind=kind, prefix=prefix).order_by("number")
        numbers = list(rows.values_list("number", flat=True))
        if numbers != list(range(numbers[0], numbers[0] + len(numbers))):
            wrong.append(f"The numbers of {kind} aren't one after the other: {numbers}")
    if len({*drill.issued}) != len(drill.issued):
        wrong.append("A paper was acknowledged twice.")
    left = Counts(Payment.objects.exclude(reference="").values_list("reference", flat=True))
    wrong += [f"Payment {reference} is gone." for reference in drill.paid if not left[reference]]
    wrong += [
        f"Payment {reference} is there {count} times." for reference, count in left.items() if count > 1
    ]
    for room, widths in drill.widths.items():
        sides = {length // FOOT for length, _ in Room.objects.get(pk=room).legs}
        if not sides & set(widths):
            wrong.append(f"Room {room} has sides of {sides} ft and was saved with {widths}.")
    with transaction.atomic():
        wrong += faults()
    return wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=500)
    parser.add_argument("--seconds", type=float, default=24 * 3600, help="stop after so long")
    parser.add_argument("--longest", type=float, default=RUNS_LONGEST, help="seconds that a service lives")
    parser.add_argument("--bill-jobs", type=int, default=40, help="jobs for each of the four that bill")
    parser.add_argument("--seed", type=int, default=None, help="repeats the instants of a run")
    told = parser.parse_args()
    seed = told.seed if told.seed is not None else random.SystemRandom().randrange(10**6)
    with tempfile.TemporaryDirectory() as folder:
        if "DATABASE_URL" not in os.environ:
            os.environ["BENCHRULE_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
        for prepares in (["migrate"], ["collectstatic", "--no-input"]):
            subprocess.run([sys.executable, "manage.py", *prepares, "--verbosity=0"], check=True)
        import django

        django.setup()
        began = time.monotonic()
        found = run(told.kills, told.seconds, told.longest, told.bill_jobs, random.Random(seed))
        print(json.dumps({"seed": seed, "seconds": round(time.monotonic() - began), **found}, indent=1))
    sys.exit(1 if found["wrong"] else 0)


if __name__ == "__main__":
    main()
