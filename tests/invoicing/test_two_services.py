"""Two services on one database: what is issued, signed, billed and paid at both at once happens once.

Each step of four jobs, side by side, sends the same form to both services at the same moment.
"""

import http.client
import socket
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from http.cookies import SimpleCookie
from urllib.parse import urlencode, urlsplit

import pytest
from django.conf import settings
from django.contrib.auth.models import User
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Acceptance, Document
from estimating.verification.documents import faults
from invoicing.models import Payment
from tests.access.served import page_of
from tests.estimating.issuing import another_floor, painted_floor
from tests.factories import make_firm
from tests.invoicing.bills import BILLING_FIRM
from tests.saving.site import PageForm, forms_on

pytestmark = [pytest.mark.postgresql, pytest.mark.django_db(transaction=True)]
JOBS = 4
DONE, REFUSED = (200, 302), (409, 422)
QUOTE = '"'


@dataclass
class Device:
    """A browser that keeps cookies, and may ask either service."""

    ports: tuple[int, int]
    cookies: dict[str, str] = field(default_factory=dict)

    def ask(self, port: int, path: str, sent: list[tuple[str, str]] | None = None) -> tuple[int, str, bytes]:
        """Return status, where it leads to, and content."""
        connection = http.client.HTTPConnection("127.0.0.1", port, timeout=120)
        headers = {"Cookie": "; ".join(f"{name}={value}" for name, value in self.cookies.items())}
        if sent is not None:
            headers["Content-Type"] = "application/x-www-form-urlencoded"
        try:
            connection.request("GET" if sent is None else "POST", path, urlencode(sent or []), headers)
            answer = connection.getresponse()
            content = answer.read()
        finally:
            connection.close()
        for line in answer.headers.get_all("Set-Cookie", []):
            self.cookies |= {name: morsel.value for name, morsel in SimpleCookie(line).items()}
        return answer.status, urlsplit(answer.headers.get("Location", "")).path, content

    def get(self, path: str, at: int = 0) -> tuple[str, bytes]:
        """Return the address and content that a path leads to, at one of the services."""
        for _ in range(5):
            status, leads_to, content = self.ask(self.ports[at], path)
            if status == 200:
                return path, content
            assert leads_to, (path, status, content.decode()[:2000])
            path = leads_to
        raise AssertionError(f"{path} leads on and on")

    def form(self, path: str, action: str, at: int = 0) -> PageForm:
        """Return the form of a page that posts to an address."""
        page, content = self.get(path, at)
        found = [form for form in forms_on(page, content) if urlsplit(form.action).path == action]
        assert found, (path, action, content.decode()[-4000:])
        return found[0]

    def at_both(self, form: PageForm, **typed: str) -> str:
        """Send a form to both services at the same moment; return what they answer.

        One does it; the other answers the same, or says that it was done.
        """
        values = {**form.sent, **{name: [value] for name, value in typed.items()}}
        sent = [(name, value) for name, some in values.items() for value in some]
        path = urlsplit(form.action).path
        with ThreadPoolExecutor(2) as pool:
            answers = list(pool.map(lambda port: self.ask(port, path, sent), self.ports))
        statuses = sorted(status for status, _, _ in answers)
        assert statuses[0] in DONE, (path, answers)
        assert statuses[1] in (*DONE, *REFUSED), (path, answers)
        return "".join(content.decode() for _, _, content in answers)


@pytest.fixture
def services(process_environment: dict[str, str]) -> Iterator[tuple[int, int]]:
    """The ports of two services on the test's database."""
    environment = {**process_environment, "BENCHRULE_SECRET_KEY": settings.SECRET_KEY}
    ports, processes = [], []
    try:
        for _ in range(2):
            with socket.create_server(("127.0.0.1", 0)) as listener:
                ports.append(int(listener.getsockname()[1]))
            command = [sys.executable, "manage.py", "serve", "--collected", "--port", f"{ports[-1]}"]
            processes.append(subprocess.Popen(command, cwd=settings.BASE_DIR, env=environment))
            page_of("/sign-in/", ports[-1])
        yield ports[0], ports[1]
    finally:
        for process in processes:
            process.terminate()
        for process in processes:
            process.wait(60)


def test_each_is_issued_signed_billed_and_paid_once(
    owner: User, signed_in: Client, services: tuple[int, int]
) -> None:
    first = painted_floor(signing_place="ours")
    estimates = [first, *(another_floor(first) for _ in range(JOBS - 1))]
    for estimate in estimates:
        estimate.dated = timezone.localdate()
        estimate.save()
        estimate.job.signing_place = "ours"
        estimate.job.save()
    make_firm(**BILLING_FIRM)
    session = signed_in.cookies["sessionid"].value
    jobs = [estimate.job_id for estimate in estimates]

    def one_job(place: int) -> None:
        _one_job(Device(services, {"sessionid": session}), Device(services), jobs[place], place % 2)

    with ThreadPoolExecutor(JOBS) as pool:
        list(pool.map(one_job, range(JOBS)))

    assert numbers_of("estimate") == [1001 + place for place in range(JOBS)]
    invoices = numbers_of("invoice")
    assert invoices == list(range(invoices[0], invoices[0] + JOBS))
    assert Acceptance.objects.count() == JOBS
    assert Payment.objects.count() == JOBS
    assert list(faults()) == []


def _one_job(own: Device, clients: Device, job: int, here: int) -> None:
    """Take a job from the draft to a paid bill; pages are read at one service, the next at the other."""
    there = 1 - here
    money, issue = reverse("job-money", args=[job]), reverse("document-issue", args=[job])
    own.at_both(own.form(money, reverse("plan-set-up", args=[job]), here), pattern="five")
    own.at_both(own.form(issue, issue, there))
    document = Document.objects.get(job=job, kind="estimate")

    send = reverse("document-send", args=[document.pk])
    answers = own.at_both(own.form(send, send, here), name="Marisol", email="", **{"by-link": "yes"})
    paper, content = clients.get(f"/open/{_between(answers, '/open/', QUOTE)}", there)
    if "/job/" in paper:
        papers = content.decode().partition("Your papers")[2]
        paper = f"/for-you/{_between(papers, '/for-you/', '/')}/"
    signing = clients.form(paper, f"{paper}sign/", here)
    clients.at_both(signing, name="Marisol Okonjo", consent="on")
    assert Acceptance.objects.filter(document=document).count() == 1

    milestone = document.job.payment_plan.milestones.order_by("pk")[0]
    reached = reverse("milestone-reached", args=[milestone.pk])
    own.at_both(own.form(reached, reached, there), reached_on=f"{timezone.localdate()}")
    start, bill = reverse("bill-start", args=[job]), reverse("bill-issue", args=[job])
    own.at_both(own.form(money, start, here), milestone=f"{milestone.pk}")
    own.at_both(own.form(reverse("bill", args=[job]), bill, there))
    invoice = Document.objects.get(job=job, kind="invoice")
    paid = reverse("payment-new", args=[job])
    own.at_both(own.form(paid, paid, here), amount=f"{invoice.total.amount}", method="check")


def numbers_of(series: str) -> list[int]:
    return list(Document.objects.filter(kind=series).order_by("number").values_list("number", flat=True))


def _between(text: str, begins: str, ends: str) -> str:
    assert begins in text, text[-3000:]
    return text.partition(begins)[2].partition(ends)[0]
