"""Punch lists, read from the database for the rules."""

from base64 import b64encode
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from functools import cached_property
from typing import Any

from django.db.models import Count, Exists, F, OuterRef, Prefetch, Q, QuerySet, Sum

from catalog.money.amounts import format_price
from closing.models import PunchListItem, PunchListPhoto
from closing.punch_list.items import ListItem, State, Whose, held_for, left_of, worth_of
from estimating.changes.draft import signed_job
from estimating.documents.billing_hooks import billing
from estimating.events import states
from estimating.models import Acceptance, Document, Job
from estimating.plain_text import day_in_words
from reading.prepared import keys_of, prepared

OUT_TO_SIGN = "The certificate is out to be signed. Withdraw it on its page first: then the list can change."
IS_OVER = "The end is signed: the list stays as both signed it. What shows up now is a call-back."


@dataclass(frozen=True)
class ListRow:
    """An item as pages show it: its row, the same for the rules, and its photos without their pictures."""

    row: PunchListItem
    item: ListItem
    photos: Sequence[PunchListPhoto]


@dataclass(frozen=True)
class PunchList:
    """The punch list of a job. `end` is the signature under its certificate of completion, if any.

    `certificate` is the one that was issued last; `to_ask` what of the contract isn't asked for yet, before
    sales tax.
    """

    job: Job
    rows: tuple[ListRow, ...]
    to_ask: Decimal
    certificate: Document | None = None
    end: Acceptance | None = None

    @cached_property
    def items(self) -> list[ListItem]:
        return [row.item for row in self.rows]

    @property
    def left(self) -> list[ListItem]:
        return left_of(self.items)

    @property
    def held(self) -> Decimal:
        """What is held back for the items that are left."""
        return held_for(self.items, self.to_ask)

    @property
    def short(self) -> bool:
        """Whether the items are worth more than is left to hold, as once a change deducted something."""
        return worth_of(self.items) > self.to_ask

    @property
    def why_fixed(self) -> str:
        """Why nothing can be added to the list or changed in it; empty while it can."""
        if self.end:
            return IS_OVER
        return OUT_TO_SIGN if self.certificate and self.certificate.state() in states.OPEN else ""

    def others(self, item: PunchListItem) -> list[ListItem]:
        return [other for other in self.items if other.key != item.pk]

    def grouped(self) -> list[tuple[str, list[ListRow]]]:
        """Return the rows by what is to do with them, as the page shows them; empty groups are left out."""
        groups = (
            ("To finish", (State.OPEN,)),
            ("To decide", (State.TO_DECIDE,)),
            ("On change orders", (State.CHANGE,)),
            ("Done", (State.DONE,)),
            ("Not in this job", (State.DECLINED, State.NOT_OURS)),
        )
        found = [(title, [row for row in self.rows if row.item.state in of]) for title, of in groups]
        return [(title, rows) for title, rows in found if rows]


def read_list(job: Job, *, lock: bool = False) -> PunchList:
    """Return the punch list of a job. Costs about ten queries, however long it is.

    With `lock`, inside a transaction, nobody else changes the list or issues its certificate meanwhile.
    """
    if lock:
        Job.objects.select_for_update(no_key=True).get(pk=job.pk)
    photos = PunchListPhoto.objects.defer("content", "small")
    rows = _with_signed(PunchListItem.objects.filter(job=job)).select_related("room", "change")
    listed = tuple(
        ListRow(row, item_of(row), tuple(row.photos.all()))
        for row in rows.prefetch_related(Prefetch("photos", photos))
    )
    certificate = newest_certificate(job)
    end = end_of(job) if certificate else None
    return PunchList(job, listed, to_ask(job), certificate, end)


def item_of(row: PunchListItem) -> ListItem:
    """Return a row of `_with_signed` for the rules."""
    worth = None if row.worth is None else row.worth.amount
    is_signed: bool = row.is_signed  # type: ignore[attr-defined]  # annotated by the query
    return ListItem(
        row.pk,
        row.text,
        Whose(row.whose),
        worth,
        row.done_on,
        row.change_id is not None,
        is_signed,
        row.answer,
    )


def get_item(item_id: int) -> PunchListItem | None:
    """Return an item with its job, its room, its change, and whether that is signed."""
    rows = _with_signed(PunchListItem.objects.filter(pk=item_id))
    return rows.select_related("job__client", "room", "change").first()


def to_ask(job: Job) -> Decimal:
    """Return what of the contract isn't asked for yet: all of it, where there is no schedule to bill by."""
    asked = billing().still_to_ask(job)
    if asked is not None:
        return asked
    signed = signed_job(job)
    return signed.contract.total if signed else Decimal("0.00")


def newest_certificate(job: Job) -> Document | None:
    """Return the certificate of completion that was issued last, with its events; None before the first."""
    issued = Document.objects.filter(job=job, kind=Document.Kind.COMPLETION)
    return issued.for_list().first()


def end_of(job: Job) -> Acceptance | None:
    """Return the signature that ended the work of a job; None before it."""
    return Acceptance.objects.ends().filter(document__job=job).select_related("document").first()


def list_for_file(job: Job) -> list[dict[str, Any]]:
    """Return the punch list as the file of a job prints it, with small photos. Costs about eleven queries."""
    photos = PunchListPhoto.objects.filter(item__job=job).values_list("pk", "small")
    small = {pk: b64encode(bytes(jpeg)).decode("ascii") for pk, jpeg in photos}
    return [
        {
            "text": shown.item.text,
            "facts": _facts(shown),
            "answer": shown.item.answer,
            "photos": [
                {"says": "Done" if photo.of_done else "As it was seen", "jpeg": small[photo.pk]}
                for photo in shown.photos
                if photo.pk in small
            ],
        }
        for shown in read_list(job).rows
    ]


def _facts(shown: ListRow) -> list[str]:
    row, item = shown.row, shown.item
    state = f"done {day_in_words(item.done_on)}" if item.done_on and item.in_scope else f"{item.state}"
    held = f"{format_price(item.holds)} held for it" if item.holds else ""
    room = row.room.name if row.room else ""
    return list(filter(None, (room, f"seen {day_in_words(row.noted_on)}", state, held)))


@dataclass(frozen=True)
class Standing:
    """How the punch list of a job stands: how many items are left of it, and what they are worth."""

    left: int
    worth: Decimal


def read_standings(jobs: Iterable[Job] | None) -> dict[int, Standing]:
    """Return how the punch lists of jobs stand, by job, for those that have one; None: of all. A query."""
    sums = _sums_of_all() if jobs is None else _sums_of(keys_of(jobs))
    return {job: Standing(left, Decimal(worth or 0)) for job, left, worth in sums}


@prepared
def _sums_of_all() -> QuerySet[PunchListItem, Any]:
    return _sums(PunchListItem.objects.all())


@prepared
def _sums_of(jobs: Collection[int]) -> QuerySet[PunchListItem, Any]:
    return _sums(PunchListItem.objects.filter(job__in=jobs))


def _sums(items: QuerySet[PunchListItem]) -> QuerySet[PunchListItem, Any]:
    whose = PunchListItem.Whose
    in_scope = Q(whose=whose.SCOPE) | Q(whose=whose.WISH, is_signed=True)
    left = in_scope & Q(done_on=None)
    rows = _with_signed(items).order_by().values("job")
    sums = rows.annotate(left=Count("pk", filter=left), sum=Sum(F("worth"), filter=left))
    return sums.values_list("job", "left", "sum")


def left_by_job(jobs: Iterable[Job]) -> Mapping[int, Sequence[PunchListItem]]:
    """Return the items of jobs that are still to do, with their rooms, by job. Costs a query."""
    left: defaultdict[int, list[PunchListItem]] = defaultdict(list)
    rows = _with_signed(PunchListItem.objects.filter(job__in=jobs, done_on=None))
    for row in rows.select_related("room"):
        if item_of(row).is_left:
            left[row.job_id].append(row)
    return left


def worth_by_job(jobs: Iterable[Job]) -> dict[int, Decimal]:
    """Return what the open items of punch lists are worth, by job. Costs a query."""
    return {job: standing.worth for job, standing in read_standings(jobs).items()}


def jobs_ended(jobs: Iterable[Job]) -> set[int]:
    """Return the jobs whose end is signed. Costs a query."""
    return set(_ended(keys_of(jobs)))


@prepared
def _ended(jobs: Collection[int]) -> QuerySet[Acceptance, int]:
    return Acceptance.objects.ends().filter(document__job__in=jobs).values_list("document__job", flat=True)


def _with_signed(rows: QuerySet[PunchListItem]) -> QuerySet[PunchListItem]:
    """Have the database say of each item whether the change order of its wish is signed."""
    signed = Acceptance.objects.uncanceled().filter(document__estimate__change=OuterRef("change"))
    return rows.annotate(is_signed=Exists(signed))
