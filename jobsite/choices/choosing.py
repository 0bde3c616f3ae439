"""Choices read for pages, and one that is made."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Any

from django.db.models import Exists, OuterRef, Prefetch, Q, QuerySet
from django.utils import timezone

from catalog.models import Firm
from estimating.changes.draft import SignedJob, signed_job
from estimating.changes.edit import begin_change, settle_line
from estimating.client.outbox import put_down
from estimating.contract.lines import ContractAllowance
from estimating.events import states
from estimating.events.chain import canonical, digest
from estimating.models import Acceptance, ChangeLine, ChangeOrder, Document, Job, JobLink
from estimating.plain_text import day_in_words
from jobsite.choices.offers import Offer, PricedOffer, as_shown, priced
from jobsite.days.job_steps import forget_steps
from jobsite.models import Choice, ChoiceMade, ChoiceOffer

REMIND_BEFORE = timedelta(days=3)


class CannotChoose(ValueError):
    """The choice can't be made so; the message says why in a plain sentence."""


@dataclass(frozen=True)
class OpenChoice:
    """A choice with its offers as they are priced now, the allowance that it is for, and the day for it."""

    choice: Choice
    offers: Sequence[PricedOffer]
    allowance: ContractAllowance | None
    by: date | None
    made: ChoiceMade | None

    @property
    def shown(self) -> str:
        """A digest of what its client sees: what is posted back tells that he saw it."""
        return digest(canonical(as_shown(self.choice.what, self.offers)))

    def is_soon(self, today: date) -> bool:
        """Whether it is time to remind the client: three days before its day, and after it."""
        return (
            self.made is None
            and not self.is_over
            and self.by is not None
            and today >= self.by - REMIND_BEFORE
        )

    @property
    def is_over(self) -> bool:
        """Whether it is no longer to choose: withdrawn, settled by a change, or out of the contract."""
        if self.choice.withdrawn_at:
            return True
        if self.made is not None or self.choice.place is None:
            return False
        return self.allowance is None or self.allowance.line.settled

    @property
    def is_ready(self) -> bool:
        """Whether it can be shown: there are two things to choose from at least, and each has its cost."""
        costs = all(row.offer.cost is not None for row in self.offers) or self.allowance is None
        return len(self.offers) > 1 and costs


def read_choices(job: Job, signed: SignedJob) -> list[OpenChoice]:
    """Return the choices of a job in the order in which they were entered. Costs two queries."""
    rows = (
        Choice.objects.filter(job=job)
        .select_related("made__offer", "made__change")
        .defer("made__offer__photo")
    )
    offers = Prefetch("offers", ChoiceOffer.objects.defer("photo"))
    allowances = {allowance.line.place: allowance for allowance in signed.allowances}
    return [
        _read(row, allowances.get(row.place) if row.place else None, signed)
        for row in rows.prefetch_related(offers)
    ]


def _read(row: Choice, allowance: ContractAllowance | None, signed: SignedJob) -> OpenChoice:
    offers = [
        Offer(offer.pk, offer.title, offer.says, offer.cost.amount if offer.cost is not None else None)
        for offer in row.offers.all()
    ]
    by = row.decide_by or (allowance.decide_by if allowance else None)
    made = getattr(row, "made", None)
    return OpenChoice(row, priced(offers, allowance, signed.rules), allowance, by, made)


def read_to_choose(page: JobLink) -> list[OpenChoice]:
    """Return the choices on the client's page of a job: those that wait, then those made."""
    if not Choice.objects.filter(job=page.job_id, shown_at__isnull=False).exists():
        return []
    signed = signed_job(page.job)
    if signed is None:
        return []
    choices = [row for row in read_choices(page.job, signed) if row.choice.shown_at and not row.is_over]
    return sorted(choices, key=lambda choice: choice.made is not None)


def left_without_choice(signed: SignedJob, choices: Sequence[OpenChoice]) -> list[ContractAllowance]:
    """Return the allowances that are still to settle and for which nothing is offered yet."""
    offered = {choice.choice.place for choice in choices if not choice.choice.withdrawn_at}
    return [allowance for allowance in signed.left_to_settle() if allowance.line.place not in offered]


def choose(choice_id: int, page: JobLink, offer_id: int, name: str, shown: str, at: datetime) -> ChoiceMade:
    """Keep what the client chose; where it moves the price, a change order is begun. Call in a transaction.

    Raises CannotChoose where it was chosen already, is no longer offered, or was changed since it was shown.
    """
    row = Choice.objects.select_for_update().get(pk=choice_id, job=page.job_id, shown_at__isnull=False)
    signed = signed_job(page.job)
    if signed is None:
        raise CannotChoose("The contract that this choice belongs to no longer stands.")
    choice = next(item for item in read_choices(page.job, signed) if item.choice.pk == row.pk)
    if choice.made:
        raise CannotChoose(
            f"This was chosen already: {choice.made.offer}, by {choice.made.name} on "
            f"{day_in_words(timezone.localdate(choice.made.at))}. To change it, ask on the page of the job."
        )
    if choice.choice.withdrawn_at:
        raise CannotChoose("This is no longer offered: ask on the page of the job.")
    if choice.is_over:
        raise CannotChoose("There is nothing left to choose here: a signed paper has settled it.")
    chosen = next((item for item in choice.offers if item.offer.key == offer_id), None)
    if chosen is None or choice.shown != shown:
        raise CannotChoose("What is offered was changed since you opened this page. Look at it again below.")
    change = _begin_change(choice, chosen, signed, name, at) if chosen.difference else None
    made = ChoiceMade.objects.create(
        choice=row,
        offer_id=offer_id,
        name=name,
        at=at,
        page=page,
        difference=chosen.difference,
        change=change,
    )
    forget_steps(page.job)
    _record(signed.estimate, choice, chosen, name, at)
    _mail_both(made, chosen, page, at)
    return made


def choices_in_force(job: Job) -> QuerySet[ChoiceMade]:
    """Return what the client of a job chose, where it moved the price only once its change is signed."""
    signed = Acceptance.objects.uncanceled().filter(document__estimate__change=OuterRef("change"))
    made = ChoiceMade.objects.filter(Q(change=None) | Exists(signed), choice__job=job)
    return made.select_related("choice", "offer").defer("offer__photo").order_by("pk")


def remove_or_withdraw(choice_id: int, at: datetime) -> bool:
    """Remove a choice that nobody has seen; withdraw one that its client saw, and return True.

    Call in a transaction. Raises CannotChoose where the client has chosen.
    """
    row = Choice.objects.select_for_update().get(pk=choice_id)
    if hasattr(row, "made"):
        raise CannotChoose(f"{row} was chosen already: what was offered stays on record.")
    if row.shown_at is None:
        row.delete()
        return False
    Choice.objects.filter(pk=row.pk, withdrawn_at=None).update(withdrawn_at=at)
    return True


def _begin_change(
    choice: OpenChoice, chosen: PricedOffer, signed: SignedJob, name: str, at: datetime
) -> ChangeOrder:
    """Return a change order ready to be looked at and sent: the choice against its allowance."""
    allowance, cost = choice.allowance, chosen.offer.cost
    assert allowance is not None  # only what is held against an allowance has a difference
    assert cost is not None
    change = ChangeOrder(
        job=choice.choice.job,
        reason=ChangeOrder.Reason.CLIENT,
        title=f"{choice.choice.what}: {chosen.offer.title}"[:80],
        found=f"Chosen on the page of the job: {chosen.offer.title}, which {chosen.in_words}."[:2000],
        asked_by=name,
    )
    begin_change(change, signed, Firm.current(), timezone.localdate(at))
    settle_line(change, ChangeLine.Kind.CHOICE, allowance.line, chosen.offer.title, cost)
    return change


def _record(document: Document, choice: OpenChoice, chosen: PricedOffer, name: str, at: datetime) -> None:
    facts = {
        "what": choice.choice.what,
        "chosen": f"{choice.choice.what}: {chosen.offer.title}",
        "place": [*choice.choice.place] if choice.choice.place else [],
        "difference": f"{chosen.difference:.2f}",
        "name": name,
        "shown": as_shown(choice.choice.what, choice.offers),
    }
    document.record(states.CHOSEN, at, facts)


def _mail_both(made: ChoiceMade, chosen: PricedOffer, page: JobLink, at: datetime) -> None:
    firm, job = Firm.current(), page.job
    text = (
        f"{made.name} chose for {job.name}:\n\n{made.choice}: {made.offer}, which {chosen.in_words}.\n\n"
        + (
            "It moves the price, so a change order follows, to be signed."
            if made.change_id
            else "The price stays as it is, and there is nothing to sign."
        )
        + f"\n\n{firm.name}"
    )
    for address in dict.fromkeys(filter(None, (page.email, firm.email))):
        put_down(address, f"Chosen: {made.choice} for {job.name}", text, at)


def choices_for_file(job: Job) -> list[dict[str, Any]]:
    """Return what was offered and chosen, as the file of a job prints it: what its client was shown."""
    signed = signed_job(job)
    rows = read_choices(job, signed) if signed else []
    return [
        {
            "what": row.choice.what,
            "by": row.by.isoformat() if row.by else "",
            "offers": [f"{offer.offer.title} ({offer.in_words})" for offer in row.offers],
            "made": _outcome_in_words(row),
        }
        for row in rows
        if row.choice.shown_at
    ]


def _outcome_in_words(row: OpenChoice) -> str:
    made, withdrawn = row.made, row.choice.withdrawn_at
    if made is None:
        return f"Withdrawn on {day_in_words(timezone.localdate(withdrawn))}" if withdrawn else ""
    on = day_in_words(timezone.localdate(made.at))
    change = f", which became {made.change}" if made.change else ""
    return f"{made.offer}, by {made.name} on {on}{change}"


def remind(choice: OpenChoice, page: JobLink, address: str, at: datetime) -> None:
    """Mail the client that a choice waits. Call in a transaction."""
    firm = Firm.current()
    by = f" by {day_in_words(choice.by)}" if choice.by else ""
    titles = "\n".join(f"- {row.offer.title}, which {row.in_words}" for row in choice.offers)
    text = (
        f"Please choose{by}: {choice.choice.what}.\n\n{titles}\n\nThe pictures are on your page of "
        f"{page.job.name}:\n{address}\n\n{firm.name}{f', {firm.phone}' if firm.phone else ''}"
    )
    put_down(page.email, f"Please choose{by}: {choice.choice.what}", text, at)
