"""Kills the whole service at random instants under eight writers, and looks at what is left.

`python -m tests.drill.kill_drill --kills 500` prints as JSON what came of it; a test runs it with a few. Two
writers each save rooms, issue estimates, bill and take payments over HTTP, by the forms of the pages; what a
kill cuts off is sent again as it was, by the same form, as a browser would. Each answer that says "saved" is
noted here, outside of the service. A service lives until one kind of write, drawn by lot, was acknowledged
once more, and a random moment longer: however slow the machine, each kind is killed in the midst of work.
Some are killed by the clock alone, some while they start. At the end all that was acknowledged must be in the
database once, numbers must run without gap or double, and the chain of events must verify.
"""

import argparse
import http.client
import itertools
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
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta
from decimal import Decimal
from http.cookies import SimpleCookie
from typing import Any
from urllib.parse import urlencode, urlsplit

OF_EACH = 2  # writers of each kind, of which there are four
MILESTONES = 10
EACH = ("rooms saved", "estimates issued", "bills issued", "payments taken")
RUNS_LONGEST = 6.0  # seconds that a service lives once it answers, where the clock alone ends it
LONGER = 1.0  # seconds, the most that it lives after the write that it was left to answer
STARTING, BY_THE_CLOCK = 0.1, 0.2  # shares of the kills: while it starts, at any instant
FOOT = 304_800_000  # nanometers
SLOW = 120  # seconds that a writer waits for an answer
MOST_WAITED = 20.0  # seconds that a service lives for a write that doesn't come
PAUSE = 0.3  # seconds between what is saved at once, so that papers are drawn beside it

Sent = list[tuple[str, str]]


@dataclass
class Drill:
    """What the writers know: where the service is, whether to stop, and what was acknowledged."""

    port: int
    session: str
    log: str  # the file that takes what services say of their faults
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
            if answer.status >= 500:
                self.drill.troubles.append(f"{path} was answered with {answer.status}.")
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


def measures(drill: Drill, rooms: list[int]) -> None:
    """Change rooms again and again."""
    writer = Writer(drill)
    for count in itertools.count():
        _widen(writer, rooms[count % len(rooms)])
        time.sleep(PAUSE)


def issues(drill: Drill, job: int, room: int) -> None:
    """Change a room and issue the estimate of its job anew, again and again."""
    from django.urls import reverse

    writer, issue = Writer(drill), reverse("document-issue", args=[job])
    while True:
        _widen(writer, room)
        status, leads_to, _ = writer.fill(issue, issue)
        if status == 302 and leads_to:
            drill.note("estimates issued", drill.issued, leads_to)
        else:
            drill.note(f"issue: {status}")


def _widen(writer: Writer, room: int) -> None:
    """Save a room one foot wider; at 92 ft begin anew."""
    from django.urls import reverse

    drill, page = writer.drill, reverse("room-edit", args=[room])
    with drill.lock:
        saved = drill.widths.setdefault(room, [])
        width = 13 + (saved[-1] - 12 if saved else 0) % 80  # never what the room begins with
        saved.append(width)
    sides = {"walls-0-length": f"{width}'", "walls-2-length": f"{width}'"}
    status, leads_to, _ = writer.fill(page, page, **sides)
    if status == 302 and leads_to:
        with drill.lock:
            drill.widths[room] = [width]
        drill.note("rooms saved")
    else:
        drill.note(f"room: {status}")


def bills(drill: Drill, jobs: list[int]) -> None:
    """Bill the milestones of jobs, one after the other."""
    from django.urls import reverse

    writer = Writer(drill)
    for job in jobs:
        money, bill, issue = (reverse(name, args=[job]) for name in ("job-money", "bill", "bill-issue"))
        for _ in range(MILESTONES):
            writer.fill(money, reverse("bill-start", args=[job]))
            status, leads_to, _ = writer.fill(bill, issue)
            if status == 302 and leads_to:
                drill.note("bills issued", drill.issued, leads_to)
            else:
                drill.note(f"bill: {status}")


def pays(drill: Drill, place: int, jobs: list[int]) -> None:
    """Take payments for jobs, in turn."""
    from django.urls import reverse

    writer = Writer(drill)
    for count in itertools.count():
        paid = reverse("payment-new", args=[jobs[count % len(jobs)]])
        reference = f"{place}-{count}"
        typed = {"amount": "5.00", "method": "check", "reference": reference, "keep_over": "on"}
        status, leads_to, _ = writer.fill(paid, paid, **typed)
        if status == 302 and leads_to:
            drill.note("payments taken", drill.paid, reference)
        else:
            drill.note(f"payment: {status}")
        time.sleep(PAUSE)


def prepare(bill_jobs: int) -> tuple[str, list[tuple[Any, ...]]]:
    """Fill the database; return a session, and what each writer does with which rows."""
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
    from tests.factories import make_client, make_firm
    from tests.invoicing.bills import BILLING_FIRM

    now = timezone.now() - timedelta(days=10)  # the days to cancel are over
    today = timezone.localdate(now)
    first = painted_floor(work_begins_on=today)
    make_firm(**BILLING_FIRM)
    steps = [PlanTemplateStep(f"Part {n}", "-", share_percent=Decimal(10)) for n in range(1, MILESTONES)]
    steps.append(PlanTemplateStep("The rest", "-"))

    def signed(client: Any) -> int:
        """Return a new job whose work is done and not billed."""
        estimate = another_floor(first)
        estimate.job.client, estimate.dated = client, today
        estimate.job.save()
        estimate.save()
        document = issue(unissued(estimate), now)
        sign_on_paper(document, on=today, at=now)
        plan = create_plan(document.job, steps)
        for milestone in plan.milestones.all():
            mark_reached(milestone, today)
        return int(document.job_id)

    works: list[tuple[Any, ...]] = []
    with papers_left_blank():
        for place in range(OF_EACH):
            own, *others = (another_floor(first) for _ in range(4))
            for estimate in (own, *others):
                estimate.dated = today
                estimate.save()
            works.append((issues, own.job_id, own.job.rooms.get().pk))
            works.append((measures, [estimate.job.rooms.get().pk for estimate in others]))
            # What is paid in advance counts for all jobs of a client, and a bill whose credit changed since
            # it was read isn't issued: so those who pay are others.
            billed = [signed(first.job.client) for _ in range(bill_jobs)]
            paid = [signed(make_client(name=f"Ann Advance {place}")) for _ in range(3)]
            works += [(bills, billed), (pays, place, paid)]
    settings.ALLOWED_HOSTS.append("testserver")
    client = Client()
    client.force_login(User.objects.create_user("pat"))
    return client.session.session_key or "", works


def run(
    kills: int, seconds: float, longest: float, bill_jobs: int, log: str, dice: random.Random
) -> Mapping[str, Any]:
    """Run the drill on the database that the environment names; return what came of it."""
    session, works = prepare(bill_jobs)
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = int(listener.getsockname()[1])
    drill = Drill(port, session, log)
    writers = [threading.Thread(target=_until_over, args=(drill, *work)) for work in works]
    service = _start(drill)
    for writer in writers:
        writer.start()
    killed, until = 0, time.monotonic() + seconds
    try:
        while killed < kills and time.monotonic() < until:
            _let_live(drill, service, longest, dice)
            os.killpg(service.pid, signal.SIGKILL)
            service.wait()
            killed += 1
            service = _start(drill)
        _wait_until_it_answers(port, service)
        time.sleep(2)  # what was cut off last is sent again
        _wait_for(lambda: all(drill.done[what] for what in EACH), SLOW)
    finally:
        drill.ends.set()
        os.killpg(service.pid, signal.SIGKILL)
        service.wait()
    for thread in writers:
        thread.join(SLOW)
    return {
        "kills": killed,
        "done": dict(sorted(drill.done.items())),
        "left": _left(),
        "wrong": drill.troubles + _wrong(drill),
    }


def _let_live(drill: Drill, service: subprocess.Popen[bytes], longest: float, dice: random.Random) -> None:
    """Wait until the instant at which this service is killed."""
    lot = dice.random()
    if lot < STARTING:
        time.sleep(dice.uniform(0, 2))
        return
    _wait_until_it_answers(drill.port, service)
    if lot < STARTING + BY_THE_CLOCK:
        time.sleep(dice.uniform(0, longest))
        return
    what = dice.choice(EACH)
    before = drill.done[what]
    _wait_for(lambda: drill.done[what] > before, MOST_WAITED)
    time.sleep(dice.uniform(0, LONGER))


def _wait_for(holds: Callable[[], bool], seconds: float) -> None:
    deadline = time.monotonic() + seconds
    while not holds() and time.monotonic() < deadline:
        time.sleep(0.01)


def _until_over(drill: Drill, work: Any, *arguments: Any) -> None:
    try:
        work(drill, *arguments)
    except Over:
        pass
    except Exception as error:
        drill.troubles.append(f"A writer stopped: {error!r}")


def _start(drill: Drill) -> subprocess.Popen[bytes]:
    command = [sys.executable, "manage.py", "serve", "--collected", "--port", f"{drill.port}"]
    with open(drill.log, "ab") as log:
        return subprocess.Popen(command, start_new_session=True, stdout=subprocess.DEVNULL, stderr=log)


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


def _left() -> Mapping[str, Any]:
    """Return how many rows of what was written there are, and which numbers papers have."""
    from django.db.models import Count, Max, Min

    from estimating.models import Document, DocumentEvent
    from invoicing.models import Payment

    papers = Document.objects.order_by("kind", "prefix").values_list("kind", "prefix")
    return {
        "papers: count, least and greatest number": {
            f"{kind} {prefix}".strip(): numbers
            for kind, prefix, *numbers in papers.annotate(Count("pk"), Min("number"), Max("number"))
        },
        "payments": Payment.objects.count(),
        "events in the chain": DocumentEvent.objects.count(),
    }


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
    parser.add_argument("--longest", type=float, default=RUNS_LONGEST, help="seconds, by the clock")
    parser.add_argument("--bill-jobs", type=int, default=20, help="jobs for each of the two that bill")
    parser.add_argument("--log", default=os.devnull, help="a file for what the service says of its faults")
    parser.add_argument("--seed", type=int, default=None, help="repeats the instants of a run")
    told = parser.parse_args()
    seed = told.seed if told.seed is not None else random.SystemRandom().randrange(10**6)
    with tempfile.TemporaryDirectory() as folder:
        if "DATABASE_URL" not in os.environ:
            os.environ["BENCHRULE_DATA"] = folder
        os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
        subprocess.run([sys.executable, "manage.py", "migrate", "--verbosity=0"], check=True)
        import django

        django.setup()
        began = time.monotonic()
        found = run(told.kills, told.seconds, told.longest, told.bill_jobs, told.log, random.Random(seed))
        print(json.dumps({"seed": seed, "seconds": round(time.monotonic() - began), **found}, indent=1))
    sys.exit(1 if found["wrong"] else 0)


if __name__ == "__main__":
    main()
