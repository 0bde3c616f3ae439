"""Options of the signed contract that a client takes on his page: each begins a change order at its price."""

from datetime import date, datetime

from django.utils import timezone

from catalog.models import Firm
from catalog.money.amounts import format_price
from estimating.changes.draft import SignedJob, signed_job
from estimating.changes.edit import begin_change, use_unit_price
from estimating.client.outbox import put_down
from estimating.contract.unit_prices import ONE, UnitPrice
from estimating.documents.billing_hooks import billing
from estimating.events import states
from estimating.models import ChangeLine, ChangeOrder, Document, Job, JobLink
from jobsite.choices.choosing import CannotChoose
from jobsite.days.job_steps import forget_steps

GONE = (
    "This can't be taken any more: its day is past, the work is done, or a change order has it. Ask on the "
    "page of the job."
)


def options_to_take(signed: SignedJob, today: date) -> list[UnitPrice]:
    """Return the options of the contract that can still be taken, the first to decide first."""
    left = [option for option in signed.options_left if not option.why_not(ONE, today)]
    return sorted(left, key=lambda option: option.decide_by or date.max)


def options_for_client(job: Job, today: date) -> list[UnitPrice]:
    """Return the options that the client can take on his page: while the work goes on, those that no change
    order has.
    """
    signed = signed_job(job)
    if signed is None or job.closed or billing().work_ended([job]):
        return []
    left = options_to_take(signed, today)
    lines = ChangeLine.objects.filter(change__job=job, kind=ChangeLine.Kind.OPTION) if left else ()
    asked = {(line.document_id, line.key) for line in lines}
    return [option for option in left if option.place not in asked]


def take_option(page: JobLink, place: tuple[int, str], name: str, at: datetime) -> ChangeOrder:
    """Begin a change order, ready to send, with an option that the client chose. Call in a transaction.

    Raises CannotChoose where it can't be taken any more.
    """
    Job.objects.select_for_update(no_key=True).get(pk=page.job_id)
    today, signed = timezone.localdate(at), signed_job(page.job)
    options = {option.place: option for option in options_for_client(page.job, today)}
    if signed is None or place not in options:
        raise CannotChoose(GONE)
    option = options[place]
    words = f"{option.title}, which adds {format_price(option.price)} before sales tax"
    change = ChangeOrder(
        job=page.job,
        reason=ChangeOrder.Reason.CLIENT,
        title=option.title[:80],
        found=f"Chosen on the page of the job: {words}."[:2000],
        asked_by=name,
    )
    begin_change(change, signed, Firm.current(), today)
    use_unit_price(change, ChangeLine.Kind.OPTION, option, ONE)
    forget_steps(page.job)
    _record(signed.estimate, option, words, name, at)
    _mail_both(page, words, name, at)
    return change


def _record(document: Document, option: UnitPrice, words: str, name: str, at: datetime) -> None:
    facts = {
        "what": option.title,
        "chosen": f"the option {option.title}",
        "place": [*option.place],
        "difference": f"{option.price:.2f}",
        "name": name,
        "shown": [words],
    }
    document.record(states.CHOSEN, at, facts)


def _mail_both(page: JobLink, words: str, name: str, at: datetime) -> None:
    firm = Firm.current()
    text = (
        f"{name} chose for {page.job.name} the option {words}.\n\nA change order follows, to be signed.\n\n"
        f"{firm.name}"
    )
    for address in dict.fromkeys(filter(None, (page.email, firm.email))):
        put_down(address, f"Chosen: an option for {page.job.name}", text, at)
