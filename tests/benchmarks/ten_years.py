"""A firm after ten years, made in minutes: what pages are timed and counted on.

    BENCHRULE_DATA=FOLDER .venv/bin/python -m tests.benchmarks.ten_years [--jobs 3000]

A few jobs are quoted, signed, billed and paid by the rules of the site, the rest are copies of their rows:
under other names and numbers, on other days, with snapshots, digests, records of signatures and the chain of
events made anew, so that `verify_documents` finds nothing. Copies share the PDF of the job they are of. It
fills an empty database alone. All of it is invented.
"""

import json
import os
import random
import re
import sys
import time
from argparse import ArgumentParser
from bisect import bisect_right
from collections import defaultdict
from collections.abc import Mapping
from datetime import date, datetime, timedelta
from decimal import Decimal
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
if __name__ == "__main__":
    django.setup()

from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.color import no_style
from django.db import connection, models, transaction
from django.db.models import Max
from django.utils import timezone

from catalog.models import Firm, Material
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from demo.firm import FIXTURES, load_firm
from demo.year import Story, load_year
from estimating.estimate_file.reading import read
from estimating.events.chain import canonical, digest, hash_of
from estimating.models import (
    Acceptance,
    Allowance,
    ChangeLine,
    ChangeOrder,
    ChangePhoto,
    Client,
    ClientLink,
    ClientSupply,
    Counter,
    Document,
    DocumentEvent,
    Estimate,
    FixedFootprint,
    HiddenCondition,
    Job,
    JobLink,
    KeptLayout,
    MeasureOverride,
    Opening,
    Room,
    SetAside,
    WorkItem,
    WorkRoom,
)
from estimating.models.document import EVENTS
from estimating.plain_text import day_in_words
from invoicing.ledger.kept_sums import keep_all
from invoicing.models import Billed, FinishedWork, Milestone, Payment, PaymentFor, PaymentPlan, PlacedPart
from jobsite.models import HoursWorked, Mileage, ReceiptKept, ReceiptLine

USER, PASSWORD = "owner", "ten-years-of-work"
WEEKS = 520
HOURS_A_JOB, RECEIPTS_A_JOB = 62, 12
DEPOSIT = {"name": "Deposit at signing", "condition": "Signed.", "share_percent": "20", "is_deposit": True}
REST = {"name": "Punch list done", "condition": "Every line of the punch list is checked off."}

# In the order in which they refer to one another, with the way from each to its job.
TABLES: list[tuple[type[models.Model], str]] = [
    (Job, "pk"),
    (Room, "job"),
    (Opening, "room__job"),
    (FixedFootprint, "room__job"),
    (KeptLayout, "room__job"),
    (Estimate, "job"),
    (WorkItem, "estimate__job"),
    (WorkRoom, "item__estimate__job"),
    (MeasureOverride, "item__estimate__job"),
    (ClientSupply, "item__estimate__job"),
    (SetAside, "estimate__job"),
    (Allowance, "estimate__job"),
    (HiddenCondition, "estimate__job"),
    (ChangeOrder, "job"),
    (Document, "job"),
    (ChangeLine, "change__job"),
    (ChangePhoto, "change__job"),
    (JobLink, "job"),
    (ClientLink, "document__job"),
    (Acceptance, "document__job"),
    (DocumentEvent, "document__job"),
    (PaymentPlan, "job"),
    (Milestone, "plan__job"),
    (PlacedPart, "document__job"),
    (FinishedWork, "document__job"),
    (Billed, "job"),
    (Payment, "job"),
    (PaymentFor, "payment__job"),
    (HoursWorked, "job"),
    (Mileage, "job"),
    (ReceiptKept, "job"),
    (ReceiptLine, "receipt__job"),
]
# What becomes of a job, and how many of a hundred: a signed one has a paper and two bills.
SIGNED, QUOTED, ASKED = "signed", "quoted", "asked"
SHARES = {SIGNED: 24, QUOTED: 45, ASKED: 21}  # the others are like those of the demo's year

_DAY = re.compile(r"(?<!\d)(20[12]\d-\d\d-\d\d)(?!\d)")
_DAY_IN_WORDS = re.compile(r"\b(?:Mon|Tue|Wed|Thu|Fri|Sat|Sun) (\d{1,2} [A-Z][a-z]{2} 20\d\d)\b")
_NUMBER = re.compile(r"\b([Ee]stimate|[Ii]nvoice) ((?:INV-)?\d{4,})\b")
FIRST_NAMES = ("Ada", "Ben", "Cora", "Dev", "Ella", "Finn", "Gus", "Hope", "Ivo", "Jan", "Kim", "Lou", "Mara")
LAST_NAMES = ("Ackley", "Birch", "Coates", "Dunmore", "Eames", "Falk", "Garrow", "Hewitt", "Ingram", "Joyner")
STREETS = ("Alder", "Basin", "Cedar", "Dogwood", "Elm", "Ferry", "Grove", "Harbor", "Iris", "Juniper", "Kiln")
ALL: list[type[models.Model]] = [Client, *(model for model, _ in TABLES)]


def main(arguments: list[str]) -> None:
    parser = ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--jobs", type=int, default=3000)
    count = parser.parse_args(arguments).jobs
    begun = time.monotonic()
    call_command("migrate", interactive=False, verbosity=0)
    if Job.objects.exists():
        sys.exit("There are jobs in this database already: it fills an empty one alone.")
    fill(count, timezone.localdate())
    print(f"{Job.objects.count()} jobs in {time.monotonic() - begun:.0f} s; sign in as {USER}, {PASSWORD}")


def fill(count: int, today: date) -> None:
    """Fill an empty database with a firm that had so many jobs in the ten years before a day."""
    chance = random.Random(10)
    firm, _ = load_firm()
    load()
    get_user_model().objects.create_user(USER, password=PASSWORD)
    first = today - timedelta(weeks=WEEKS)
    told = _tell_stories(firm, first)
    stories = {job.pk: told.get(job.pk, "year") for job in Job.objects.all()}
    copies = Copies(chance, today)
    groups: dict[str, list[int]] = defaultdict(list)
    for pk, group in stories.items():
        groups[group].append(pk)
    weights = {**SHARES, "year": 100 - sum(SHARES.values())}
    made = len(stories)
    for _ in range(count - made):
        group = chance.choices(list(weights), list(weights.values()))[0]
        copies.add(chance.choice(groups[group]), timedelta(weeks=chance.randint(53, WEEKS)))
    with transaction.atomic():
        copies.save()
    _renew_sequences()
    keep_all()


def _tell_stories(firm: Firm, until: date) -> dict[int, str]:
    """Let the jobs that are copied happen in the year before a day; return what became of the larger ones."""
    load_year(firm, until)
    last = DocumentEvent.objects.latest("place").at
    plots: list[tuple[str, str, list[tuple[str, dict[str, Any]]]]] = [
        (ASKED, "consumer", []),
        (
            QUOTED,
            "materials",
            [("issued", {}), ("sent", {}), ("opened", {}), ("declined", {"reason": "No."})],
        ),
        (QUOTED, "everything", [("issued", {}), ("sent", {}), ("opened", {})]),
        (SIGNED, "consumer", _whole_plot()),
        (SIGNED, "everything", _whole_plot()),
    ]
    told = {}
    for group, tax, plot in plots:
        job = _kitchen(firm, until, tax)
        story = Story(job, [], [DEPOSIT, REST])
        for verb, values in plot:
            last += timedelta(minutes=1)
            story.at = last
            getattr(story, verb)(**values)
        if group != ASKED:
            story.put_away()
        told[job.pk] = group
    return told


def _whole_plot() -> list[tuple[str, dict[str, Any]]]:
    paid: list[tuple[str, dict[str, Any]]] = [("paid", {"amount": "500"})] * 4 + [("paid", {})]
    begun: list[tuple[str, dict[str, Any]]] = [("issued", {}), ("sent", {}), ("opened", {}), ("signed", {})]
    bills = [("billed", {"milestone": DEPOSIT["name"]}), *paid, ("reached", {"milestone": REST["name"]})]
    return [*begun, *bills, ("billed", {"milestone": REST["name"]}), *paid]


def _kitchen(firm: Firm, until: date, tax: str) -> Job:
    """Return the demo's kitchen with twelve lines typed by hand, asked for a month before a day."""
    told = json.loads((FIXTURES / "kitchen.json").read_text("utf-8"))
    asked_on = until - timedelta(days=30)
    told["job"] |= {"date": asked_on.isoformat()}
    for kind in ("work", "allowances"):
        for row in told.get(kind, []):
            row.pop("decide_by", None)
    job = read(json.dumps(told), firm, CatalogReader(firm)).save().job
    job.tax_policy, job.tax_percent = tax, Decimal("6.5")
    job.save()
    estimate = Estimate.current(job, firm, asked_on)
    position = estimate.items.count()
    for number in range(12):
        estimate.items.create(
            position=position + number,
            title=f"Small repair {number + 1}",
            phase="rough",
            extra_hours=Decimal("0.5"),
            material_cost=Decimal(12 + number),
        )
    return job


class Copies:
    """Jobs that are copied, held back until all are known, so that numbers and events come in their order."""

    def __init__(self, chance: random.Random, today: date) -> None:
        self.chance, self.today = chance, today
        self.originals: dict[int, dict[type[models.Model], list[models.Model]]] = {}
        self.next_pk = {model: 1 + (_rows(model).aggregate(last=Max("pk"))["last"] or 0) for model in ALL}
        self.rows: dict[type[models.Model], list[Any]] = defaultdict(list)
        self.clients: list[Client] = []
        self.copied: list[tuple[int, timedelta]] = []
        self.materials = list(Material.objects.all()[:60])

    def add(self, pk: int, moved: timedelta) -> None:
        """Note a job to be copied, so much later."""
        self.copied.append((pk, moved))

    def save(self) -> None:
        """Copy all that was noted."""
        self.copied.sort(key=lambda copied: copied[1])
        texts: list[_Text] = [self._copy(pk, moved) for pk, moved in self.copied]
        self._number()
        for text in texts:
            text.write()
        self._chain()
        for model in ALL:
            print(f"{model.__name__}: {len(self.rows[model])}", flush=True)
            batch = 50 if model is Document else 500
            for start in range(0, len(self.rows[model]), batch):
                model._base_manager.bulk_create(self.rows[model][start : start + batch])

    def _original(self, pk: int) -> dict[type[models.Model], list[models.Model]]:
        if pk not in self.originals:
            self.originals[pk] = {
                model: list(_rows(model).filter(**{way: pk}).order_by("pk")) for model, way in TABLES
            }
        return self.originals[pk]

    def _copy(self, pk: int, moved: timedelta) -> "_Text":
        original = self._original(pk)
        keys: dict[type[models.Model], dict[int, int]] = {model: {} for model, _ in TABLES}
        job = original[Job][0]
        assert isinstance(job, Job)
        client = self._client()
        copies: dict[type[models.Model], list[Any]] = {}
        for model, _ in TABLES:
            for row in original[model]:
                keys[model][row.pk] = self._take(model)
        keys[Client] = {job.client_id: client.pk}
        for model, _ in TABLES:
            copies[model] = [self._row(row, keys, moved) for row in original[model]]
            self.rows[model] += copies[model]
        copy = copies[Job][0]
        copy.name = f"{job.name} {copy.pk}"
        copy.address = client.address
        days_ago = (self.today - copy.requested_on).days
        copy.closed = job.closed or days_ago > 150
        if copies[Acceptance]:
            signed = copies[Acceptance][0].document_id
            self._work(copy, next(row for row in copies[Document] if row.pk == signed), copies[WorkItem])
        return _Text(original, copies, keys, moved, job.client, client)

    def _row(self, row: models.Model, keys: Mapping[Any, Mapping[int, int]], moved: timedelta) -> Any:
        values: dict[str, Any] = {}
        for field in row._meta.concrete_fields:
            value = getattr(row, field.attname)
            model = field.related_model
            if field.primary_key:
                value = keys[type(row)][value]
            elif value is None:
                pass
            elif model in keys:
                value = keys[model].get(value, value)
            elif isinstance(value, date):  # a moment is one, too
                value = value + moved
            values[field.attname] = value
        return type(row)(**values)

    def _take(self, model: type[models.Model]) -> int:
        self.next_pk[model] += 1
        return self.next_pk[model] - 1

    def _client(self) -> Client:
        """Return a client: a new one for most jobs, one who comes again, or the landlord of sixty flats."""
        if self.clients and self.chance.random() < 0.02:
            return self.clients[0]
        if self.clients and self.chance.random() < 0.35:
            return self.chance.choice(self.clients)
        pk = self._take(Client)
        name = f"{self.chance.choice(FIRST_NAMES)} {self.chance.choice(LAST_NAMES)} {pk}"
        client = Client(
            pk=pk,
            name=name,
            address=f"{pk} {self.chance.choice(STREETS)} Street\nFennimore Falls",
            phone=f"555-{pk:04d}",
            email=f"client{pk}@example.com",
        )
        self.clients.append(client)
        self.rows[Client].append(client)
        return client

    def _work(self, job: Job, document: Document, items: list[WorkItem]) -> None:
        """Add the hours and receipts of a signed job."""
        begins = document.dated + timedelta(days=14)
        for number in range(HOURS_A_JOB):
            row = HoursWorked(
                pk=self._take(HoursWorked),
                job_id=job.pk,
                on=min(begins + timedelta(days=number // 2), self.today),
                hours=Decimal(self.chance.randint(2, 16)) / 4,
            )
            if number % 10:
                row.document_id, row.key = document.pk, f"{items[number % len(items)].pk}"
            else:
                row.for_job = "travel"
            self.rows[HoursWorked].append(row)
        for number in range(RECEIPTS_A_JOB):
            receipt = ReceiptKept(
                pk=self._take(ReceiptKept),
                job_id=job.pk,
                on=min(begins + timedelta(days=number), self.today),
                supplier="Lumber yard",
                cost=self._amount(200),
                tax=Decimal(1),
                says="Material",
            )
            self.rows[ReceiptKept].append(receipt)
            for _ in range(3):
                line = ReceiptLine(pk=self._take(ReceiptLine), receipt_id=receipt.pk, amount=self._amount(50))
                line.material = self.chance.choice(self.materials)
                line.quantity = Decimal(self.chance.randint(1, 9))
                self.rows[ReceiptLine].append(line)

    def _amount(self, most: int) -> Decimal:
        return Decimal(self.chance.randint(100, 100 * most)) / 100

    def _number(self) -> None:
        """Give the copied papers the next numbers in the order in which they were issued."""
        last = dict(Counter.objects.values_list("series", "last"))
        for document in sorted(self.rows[Document], key=lambda row: (row.issued_at, row.pk)):
            document.series = Document.series_of(document.kind, Job(pk=document.job_id))
            last[document.series] = document.number = last.get(document.series, 0) + 1
        for series, number in last.items():
            Counter.objects.update_or_create(pk=series, defaults={"last": number})

    def _chain(self) -> None:
        """Link the copied events to the chain, each as it came."""
        newest = DocumentEvent.objects.latest("place")
        place, previous = newest.place, newest.hash
        hashes: dict[int, str] = {}
        moments = []
        for event in sorted(self.rows[DocumentEvent], key=lambda row: (row.at, row.pk)):
            place += 1
            moments.append(event.at)
            event.place, event.previous_hash = place, previous
            event.hash = previous = hash_of(event.link())
            if event.kind == DocumentEvent.Kind.ACCEPTED:
                hashes[event.document_id] = event.hash
        for acceptance in self.rows[Acceptance]:
            acceptance.event_hash = hashes[acceptance.document_id]
        for payment in self.rows[Payment]:
            payment.place = newest.place + bisect_right(moments, payment.entered_at)
            payment.once = f"ten years {payment.pk}"
        Counter.objects.filter(pk=EVENTS).update(last=place)


class _Text:
    """What a copied job's papers say, made anew from what the originals said."""

    def __init__(
        self, original: Any, copies: Any, keys: Any, moved: timedelta, was: Client, client: Client
    ) -> None:
        self.original, self.copies, self.keys, self.moved = original, copies, keys, moved
        pairs = ((was.name, client.name), (was.email, client.email), (was.phone, client.phone))
        self.words = {before: after for before, after in pairs if before}
        self.papers = {paper.pk: paper for paper in copies[Document]}
        self.words[original[Job][0].name] = copies[Job][0].name
        for before, after in zip(original[JobLink], copies[JobLink], strict=True):
            after.seed, after.secret_sha256 = digest(f"seed {after.pk}"), digest(f"link {after.pk}")
            after.name, after.email = client.name, client.email
            self.words[before.secret_sha256] = after.secret_sha256
        for link in copies[ClientLink]:
            link.name, link.email, link.once = client.name, client.email, f"ten years {link.pk}"
        for signature in copies[Acceptance]:
            signature.name = client.name

    def write(self) -> None:
        """Write snapshots, bases, records and events, once the papers have their numbers."""
        numbers = {}
        for before, after in zip(self.original[Document], self.copies[Document], strict=True):
            numbers[before.printed_number] = after.printed_number
        for before, after in zip(self.original[Document], self.copies[Document], strict=True):
            snapshot = json.loads(self._said(before.snapshot, numbers))
            snapshot["number"] = after.printed_number
            basis = self._keyed(json.loads(self._said(before.basis, numbers)))
            after.snapshot, after.basis = canonical(snapshot), canonical(basis)
            after.snapshot_sha256, after.basis_sha256 = digest(after.snapshot), digest(after.basis)
            after.issue_key = digest(f"ten years {after.pk}")
            self.words[before.snapshot_sha256] = after.snapshot_sha256
            self.words[before.basis_sha256] = after.basis_sha256
        for before, after in zip(self.original[Acceptance], self.copies[Acceptance], strict=True):
            record = json.loads(self._said(before.record, numbers))
            record["document"]["number"] = self.papers[after.document_id].printed_number
            after.record = canonical(record)
            after.record_sha256 = digest(after.record)
            self.words[before.record_sha256] = after.record_sha256
        for before, after in zip(self.original[DocumentEvent], self.copies[DocumentEvent], strict=True):
            data = json.loads(self._said(before.data, numbers))
            if after.kind == DocumentEvent.Kind.ISSUED:
                paper = self.papers[after.document_id]
                data |= {"number": paper.number, "job": paper.job_id}
            after.data = canonical(data)

    def _said(self, text: str, numbers: Mapping[str, str]) -> str:
        text = _NUMBER.sub(lambda found: f"{found[1]} {numbers.get(found[2], found[2])}", text)
        text = _DAY.sub(lambda found: self._later(found[1]), text)
        text = _DAY_IN_WORDS.sub(lambda found: self._later_in_words(found[1]), text)
        for before, after in self.words.items():
            text = text.replace(before, after)
        return text

    def _later(self, day: str) -> str:
        try:
            return (date.fromisoformat(day) + self.moved).isoformat()
        except ValueError:
            return day

    def _later_in_words(self, day: str) -> str:
        read = datetime.strptime(day, "%d %b %Y")  # noqa: DTZ007 - a day of no zone
        return day_in_words(read.date() + self.moved)

    def _keyed(self, value: Any, within: str = "") -> Any:
        """Return a basis with the keys of the copied rows."""
        if isinstance(value, dict):
            if within in ("by_work", "operations"):
                return {self._key(WorkItem, key): self._keyed(row) for key, row in value.items()}
            return {
                key: self._key_within(within, key, row)
                if isinstance(row, str | int)
                else self._keyed(row, key)
                for key, row in value.items()
            }
        return [self._keyed(row, within) for row in value] if isinstance(value, list) else value

    def _key_within(self, within: str, key: str, value: Any) -> Any:
        if within == "packages" or isinstance(value, bool):
            return value
        if key in ("by_document", "refers_document") and isinstance(value, int):
            return self.keys[Document].get(value, value)
        if key == "milestone" or (within == "milestones" and key == "key"):
            return self._key(Milestone, value)
        if key == "change" and value.isdigit():
            return self._key(Document, value)
        if key in ("key", "by_key", "refers_key"):
            for word, model in (("condition-", HiddenCondition), ("allowance-", Allowance)):
                if value.startswith(word):
                    return word + self._key(model, value.removeprefix(word))
            return self._key(WorkItem, value)
        return value

    def _key(self, model: type[models.Model], key: str) -> str:
        return str(self.keys[model].get(int(key), key)) if key.isdigit() else key


def _rows(model: type[models.Model]) -> models.QuerySet[Any]:
    """Return all rows of a table, with the columns that lists leave out."""
    return model._base_manager.defer(None)


def _renew_sequences() -> None:
    """Let the next row of each table have the next number."""
    statements = connection.ops.sequence_reset_sql(no_style(), ALL)
    with connection.cursor() as cursor:
        for statement in statements:
            cursor.execute(statement)


if __name__ == "__main__":
    main(sys.argv[1:])
