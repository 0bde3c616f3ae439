"""The year behind the firm of the demo: jobs that were quoted, signed, built, billed and paid.

Each file of `demo_fixtures/year/` holds a job as the `estimate` command reads it, its payment schedule, and
what happened to it: the day, as days before today, and one of the methods of `Story`. What happened is done
in the order of the days over all jobs, as numbers and the history run through the whole firm. Nothing is
mailed: a link counts as handed over by the owner.
"""

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalog.measures.hours import parse_time_worked, spans_as_text
from catalog.models import Firm, Material
from catalog.phases import Phase
from catalog.rows.values import CatalogReader
from closing.models import Installed, PunchListItem
from closing.punch_list.end import issue_certificate, prepare_certificate
from closing.punch_list.read import read_list
from closing.punch_list.write import add_item_photos, close_item
from demo.firm import FIXTURES
from demo.payments import plan_step
from demo.photo import photo, receipt_photo
from estimating.changes.draft import signed_job
from estimating.changes.edit import add_photos, begin_change, use_unit_price
from estimating.changes.issue import issue_change, prepare_change
from estimating.client.job_page.links import put_on_page, secret_of
from estimating.client.mail import note_handed_over
from estimating.client.signing import Visit, accept, answer, ask, decline, note_opened, sums_for
from estimating.documents.estimate import prepare_estimate
from estimating.documents.issue import issue
from estimating.estimate_file.reading import read
from estimating.estimates.draft import read_draft
from estimating.models import (
    ChangeLine,
    ChangeOrder,
    ClientLink,
    Document,
    Estimate,
    Job,
    WaitingMail,
    WorkItem,
)
from estimating.plain_text import money
from invoicing.invoices.bill_draft import begin_bill
from invoicing.invoices.issue import issue_bill
from invoicing.invoices.job_billing import read_job_billing
from invoicing.invoices.prepare import bill_to_issue
from invoicing.ledger.accounts import read_books
from invoicing.models import BillDraft, Milestone, Payment, PaymentPlan, Reminder
from invoicing.payment_plan.finished_work import finish_groups, groups_of
from invoicing.payment_plan.milestones import mark_reached
from invoicing.payment_plan.plan import read_plan
from invoicing.payment_plan.templates import create_plan
from invoicing.payments.record import MoneyMovement, record_payment, void_payment
from invoicing.reminders.reminders import letter, record_handed_over
from jobsite.models import CallBack, ForTheJob, HoursWorked, Mileage, ReceiptKept, ReceiptPhoto

YEAR = FIXTURES / "year"
OPENS_AT = time(9, 0)
AGENT = "A phone of the demo"


@dataclass(frozen=True)
class ClientPage:
    """The client's page of a job, and the secret of its link."""

    job: Job
    secret: str


def load_year(firm: Firm, today: date) -> list[ClientPage]:
    """Put in the jobs of the year before a day; return the clients' links that still open something.

    Call outside any transaction, and only where nothing was issued yet: numbers and dates begin here.
    """
    catalog = CatalogReader(firm)
    stories = [_story(path, firm, catalog, today) for path in sorted(YEAR.glob("*.json"))]
    moments = [(days_ago, story, verb, values) for story in stories for days_ago, verb, values in story.plot]
    moments.sort(key=lambda moment: -moment[0])  # stable: within a day as the files tell it
    for number, (days_ago, story, verb, values) in enumerate(moments):
        story.at = _at(_weekday(today - timedelta(days=days_ago)), number)
        getattr(story, verb)(**values)
    return [story.page for story in stories if story.page]


@contextmanager
def _mailing_nobody() -> Iterator[None]:
    """Take back the mails that are put down inside: the people of the demo have no mailboxes."""
    with transaction.atomic():
        yield
        WaitingMail.objects.filter(sent_at=None).delete()


class Story:
    """What happens to one job. `at` is when; `plot` holds days before today, method and arguments."""

    at: datetime

    def __init__(
        self, job: Job, plot: list[tuple[int, str, dict[str, Any]]], plan: list[dict[str, Any]]
    ) -> None:
        self.job, self.plot, self.plan = job, plot, plan
        self.links: dict[int, ClientLink] = {}
        self.page: ClientPage | None = None

    def issued(self, warranty_months: int = 0) -> None:
        """Set up the payment schedule, and issue the estimate, with a warranty where one was promised."""
        create_plan(self.job, [plan_step(values) for values in self.plan])
        firm = Firm.current()
        firm.warranty_months = warranty_months
        estimate = Estimate.current(self.job, firm, self.day)
        estimate.dated = self.day
        issue(prepare_estimate(estimate, firm, read_draft(estimate, firm)), self.at)

    def sent(self) -> None:
        """Hand the newest paper over to the client by a link."""
        document = self._paper()
        client = self.job.client
        once = f"{self.job.pk} {document} {self.at}"
        link = put_on_page(document, client.name, client.email, once, self.at)
        note_handed_over(link, self.at)
        self.links[document.pk] = link
        if link.job_link:
            self.page = ClientPage(self.job, secret_of(link.job_link))

    def opened(self) -> None:
        note_opened(self._visit(), "a touch, a scroll or a key on the page")

    def asked(self, text: str) -> None:
        with _mailing_nobody():
            ask(self._visit(), text)

    def answered(self, text: str) -> None:
        answer(self._paper(), text, self.at)

    def signed(self, options: tuple[int, ...] = ()) -> None:
        """Sign the newest paper on the client's page, and say when work begins.

        The signed copy is drawn when somebody first opens it, as on the pages.
        """
        visit = self._visit()
        total = sums_for(visit.link.document, self.day, options).total
        with _mailing_nobody():
            accept(visit, self.job.client.name, options, money(total))
        begins = _weekday(self.day + timedelta(days=9))
        if Job.objects.filter(pk=self.job.pk, work_begins_on=None).update(work_begins_on=begins):
            PaymentPlan.objects.filter(job=self.job).update(pays_after_days=3)

    def declined(self, reason: str) -> None:
        with _mailing_nobody():
            decline(self._visit(), reason)

    def changed(self, title: str, found: str, price: str, quantity: str, days: int) -> None:
        """Issue a change order for what the signed list prices as "if found", with a photo of it."""
        signed = signed_job(self.job)
        assert signed is not None
        change = ChangeOrder(job=self.job, title=title, reason="hidden", found=found, days=days)
        unit_price = next(row for row in signed.prices if row.title == price)
        firm = Firm.current()
        with transaction.atomic():
            begin_change(change, signed, firm, self.day)
            use_unit_price(change, ChangeLine.Kind.FOUND, unit_price, Decimal(quantity))
            add_photos(change, [photo()])
        issue_change(change, prepare_change(change, firm, self.day), self.at)

    def reached(self, milestone: str) -> None:
        """Mark a milestone reached, and the work that it stands for as finished."""
        row = self._milestone(milestone)
        mark_reached(row, self.day)
        job_plan = read_plan(self.job)
        if job_plan is not None and not row.is_deposit:
            finish_groups(job_plan, groups_of(job_plan, row.key), self.day)

    def worked(self, hours: Mapping[str, str]) -> None:
        """Enter the hours of a day, as typed, by what they are on: an assembly, a phase or the job itself."""
        for on, typed in hours.items():
            worked = parse_time_worked(typed)
            row = HoursWorked(job=self.job, on=self.day, hours=worked.hours)
            row.spans = spans_as_text(worked.spans)
            if on in ForTheJob:
                row.for_job = on
            elif on in Phase:
                row.phase = on
            else:
                row.document = self.job.documents.get(kind=Document.Kind.ESTIMATE)
                item = WorkItem.objects.get(estimate__job=self.job, estimate__change=None, assembly__code=on)
                row.key = f"{item.pk}"
            row.save()

    def bought(
        self, store: str, says: str, total: str, tax: str = "0", lines: Iterable[tuple[str, str, str]] = ()
    ) -> None:
        """Enter a receipt with its photo; its lines are a material, how many and for how much before tax.

        A total below zero went back to the store.
        """
        cost = Decimal(total) - Decimal(tax)
        receipt = ReceiptKept.objects.create(
            job=self.job, on=self.day, supplier=store, says=says, cost=cost, tax=Decimal(tax)
        )
        for code, quantity, amount in lines:
            material = Material.objects.get(code=code)
            package = material.packages.first() if material.packages.count() == 1 else None
            receipt.lines.create(
                material=material, package=package, quantity=Decimal(quantity), amount=Decimal(amount)
            )
        content = receipt_photo(store, says, total)
        ReceiptPhoto.objects.create(receipt=receipt, content=content, sha256=sha256(content).hexdigest())

    def drove(self, miles: str, rate: str, says: str) -> None:
        """Enter miles, at a rate that is invented for the demo."""
        Mileage.objects.create(job=self.job, on=self.day, miles=Decimal(miles), rate=Decimal(rate), says=says)

    def noted(self, text: str, worth: str = "", whose: str = "scope", answer: str = "") -> None:
        """Put an item on the punch list, with a photo where it is in the scope."""
        item = PunchListItem.objects.create(
            job=self.job,
            text=text,
            room=self.job.rooms.first(),
            whose=whose,
            worth=Decimal(worth) if worth else None,
            answer=answer,
            noted_on=self.day,
        )
        if whose == "scope":
            add_item_photos(item, [photo()])

    def finished(self, text: str) -> None:
        """Mark an item of the punch list done, with a photo."""
        close_item(PunchListItem.objects.get(job=self.job, text=text), self.day, [photo()])

    def certified(self) -> None:
        """Issue the certificate of completion."""
        firm = Firm.current()
        issue_certificate(prepare_certificate(read_list(self.job), firm, self.day), firm, self.at)

    def installed(self, material: str, care: str = "", **values: str) -> None:
        """Fill in what was installed of a material, with words of care that are invented for the demo."""
        row = Material.objects.get(code=material)
        Material.objects.filter(pk=row.pk, care="").update(care=care)
        Installed.objects.create(job=self.job, material=row, on=self.day, **values)

    def called_back(self, says: str, on: str, hours: str) -> None:
        """Enter a call-back with its hours, on the assembly that caused it."""
        self.worked({on: hours})
        worked = HoursWorked.objects.filter(job=self.job).latest("pk")
        CallBack.objects.create(job=self.job, on=self.day, says=says, worked=worked)

    def billed(self, milestone: str) -> None:
        """Issue the invoice for a milestone, and hand it over."""
        draft, _ = begin_bill(self.job, BillDraft.Kind.WORK, self._milestone(milestone))
        billing = read_job_billing(self.job)
        issue_bill(draft, bill_to_issue(draft, billing, Firm.current(), self.day).unissued, self.at)
        self.sent()

    def paid(self, amount: str = "", how: str = Payment.Method.CHECK, reference: str = "") -> None:
        """Enter a payment for the newest invoice: what is open of it, or an amount."""
        invoice = self._paper()
        owed = read_books(self.job.client).account_of(self.job.client_id).invoice(str(invoice))
        movement = MoneyMovement(
            self.day,
            Decimal(amount) if amount else owed.open,
            how,
            once=f"demo-{invoice}-{self.at}",
            reference=reference,
            job=self.job,
        )
        record_payment(self.job.client, movement, [invoice], self.at)

    def bounced(self, note: str) -> None:
        """Enter that the bank returned the newest payment."""
        payment = Payment.objects.filter(job=self.job, kind=Payment.Kind.PAYMENT).latest("pk")
        void_payment(payment, self.day, Payment.Why.BANK, note, f"demo-back-{payment.pk}", self.at)

    def reminded(self) -> None:
        """Hand over the first reminder of the newest invoice."""
        invoice = self._paper()
        owed = read_books(self.job.client).account_of(self.job.client_id).invoice(str(invoice))
        step = Reminder.Step.FIRST
        text = letter(invoice, owed, step, Firm.current(), self.day)
        record_handed_over(invoice, step, text, owed.open, self.at)

    def put_away(self) -> None:
        Job.objects.filter(pk=self.job.pk).update(closed=True)
        self.page = None

    @property
    def day(self) -> date:
        return timezone.localdate(self.at)

    def _paper(self) -> Document:
        return self.job.documents.latest("pk")

    def _milestone(self, name: str) -> Milestone:
        return Milestone.objects.get(plan__job=self.job, name=name)

    def _visit(self) -> Visit:
        document = self._paper()
        links = ClientLink.objects.select_related("document__job__client", "job_link")
        link = links.get(pk=self.links[document.pk].pk)
        return Visit(link, self.at, self.day, "203.0.113.7", AGENT, by_page=True)


def _story(path: Path, firm: Firm, catalog: CatalogReader, today: date) -> Story:
    """Read a job of the year and save it as it was asked for."""
    told: Mapping[str, Any] = json.loads(path.read_text("utf-8"))
    requested_on = _weekday(today - timedelta(days=told["asked_days_ago"]))
    file = {**told["file"], "job": {**told["file"]["job"], "date": requested_on.isoformat()}}
    with transaction.atomic():
        job = read(json.dumps(file), firm, catalog).save().job
    plot = [(days_ago, verb, values) for days_ago, verb, values in told["story"]]
    return Story(job, plot, told["plan"])


def _weekday(day: date) -> date:
    """Return a day, or the Friday before it where it falls on a weekend."""
    return day - timedelta(days=max(day.weekday() - 4, 0))


def _at(day: date, number: int) -> datetime:
    """Return a moment of a day that is later the higher the number is: one a minute from nine o'clock."""
    opens = datetime.combine(day, OPENS_AT, timezone.get_current_timezone())
    return opens + timedelta(minutes=number)
