"""Each kind of record, saved as its page would save it; `RefusedRecord` says why one isn't."""

from collections.abc import Callable, Mapping
from datetime import UTC, date, datetime, timedelta

from django.core.exceptions import ValidationError
from django.http import HttpRequest
from django.utils import timezone

from catalog.measures.hours import TimeWorked
from catalog.models import Firm
from closing.forms.items import DoneForm, ItemForm
from closing.models import PunchListItem
from closing.punch_list.read import read_list
from closing.punch_list.write import close_item, put_on_list
from estimating.changes.draft import signed_job
from estimating.changes.edit import add_photos, begin_change
from estimating.changes.issue import NOT_SIGNED
from estimating.forms.changes import ChangeForm
from estimating.models import ChangeOrder, Job
from estimating.plain_text import day_in_words
from invoicing.payment_plan.finished_work import contract_work, mark_finished
from invoicing.payment_plan.plan import read_plan
from jobsite.diary.read import add_photos as add_diary_photos
from jobsite.forms.diary import DiaryForm
from jobsite.forms.fields import PastDayField
from jobsite.forms.hours import ForgottenClockForm, HoursForm, token_of
from jobsite.hours.day import day_fault
from jobsite.hours.read import read_day, read_job, targets_of
from jobsite.hours.running import read_clock, start_clock, stop_clock, time_of
from jobsite.models import DiaryEntry, HoursWorked, ReceiptKept, RunningClock
from jobsite.views.receipts import receipt_form, saved_or_fault
from phone.records.answer import RefusedRecord, refused_form
from phone.records.rooms import save_room, save_room_photo

AHEAD = timedelta(minutes=2)  # that a phone's clock may be before ours


def save_hours(request: HttpRequest) -> None:
    """Keep hours that were typed."""
    job = job_of(request)
    signed = read_job(job)
    form = HoursForm(request.POST, signed=signed, today=timezone.localdate())
    if not (form.is_valid() and form.refuse_impossible_day(read_day(form.cleaned_data["on"], signed, job))):
        raise refused_form(form)
    form.fill(HoursWorked(job=job)).save()


def save_clock_start(request: HttpRequest) -> None:
    """Start the clock as of the time at which it was started on the phone; what ran before is stopped."""
    job, at = job_of(request), _time(request)
    target = targets_of(read_job(job)).get(request.POST.get("on_what", ""))
    if target is None:
        raise RefusedRecord("That can't be worked on any more. Choose something else.")
    if running := read_clock():
        _stop(request, running, at)
    start_clock(job, target, at)


def save_clock_stop(request: HttpRequest) -> None:
    """Stop the clock as of the time at which it was stopped on the phone."""
    running, at = read_clock(), _time(request)
    if running is None:
        raise RefusedRecord("No clock runs any more: it was stopped elsewhere. Type the hours if any lack.")
    if request.POST.get("job") != f"{running.job_id}" or request.POST.get("on_what") != token_of(running):
        raise RefusedRecord("Another clock runs since. Type the hours of this one.")
    _stop(request, running, at)


def _stop(request: HttpRequest, running: RunningClock, at: datetime) -> None:
    """Stop a clock at a time, or after as long as was typed where it was forgotten."""
    ran = time_of(running, at)
    if at < running.started_at:
        raise RefusedRecord("The clock that runs was started later than this. Type the hours.")
    worked: TimeWorked | None
    if request.POST.get("worked"):
        form = ForgottenClockForm(request.POST)
        if not form.is_valid():
            raise refused_form(form)
        worked = form.cleaned_data["worked"]
    elif ran.was_forgotten:
        sentence = (
            f"The clock ran since {day_in_words(ran.started.date())}: say how long you worked that day."
        )
        raise RefusedRecord(sentence, {"worked": sentence})
    else:
        worked = ran.worked()
    if worked:
        day = ran.started.date()
        others = read_day(day, read_job(running.job), running.job)
        if fault := day_fault(worked, others, day_in_words(day)):
            raise RefusedRecord(fault, {"worked": fault})
    stop_clock(running, worked)


def save_receipt(request: HttpRequest) -> None:
    """Keep a receipt with its photo."""
    job = job_of(request)
    form = receipt_form(request, read_job(job), {})
    if not form.is_valid():
        raise refused_form(form)
    if fault := saved_or_fault(form.fill(ReceiptKept(job=job)), form):
        raise RefusedRecord(fault, {"total": fault})


def save_finished_work(request: HttpRequest) -> None:
    """Mark a line of the contract as finished on the day on which it was ticked."""
    job = job_of(request)
    on = _day(request)
    job_plan = read_plan(job, lock=True)
    work = contract_work(job_plan) if job_plan else ()
    lines = {f"{line.line.place[0]}-{line.line.place[1]}": line for line in work}
    line = lines.get(request.POST.get("work", ""))
    if job_plan is None or line is None or on is None:
        raise RefusedRecord("This work isn't in the contract any more. Look at the job's money page.")
    before = {other.line.place for other in lines.values() if other.is_finished}
    mark_finished(job_plan, before | {line.line.place}, on)


def save_found(request: HttpRequest) -> None:
    """Begin a change with what was found and its photos; the work comes on its page."""
    job = job_of(request)
    signed = signed_job(job)
    if signed is None:
        raise RefusedRecord(NOT_SIGNED)
    form = ChangeForm(request.POST, request.FILES, instance=ChangeOrder(job=job))
    if not form.is_valid():
        raise refused_form(form)
    change = form.save(commit=False)
    begin_change(change, signed, Firm.current(), timezone.localdate())
    add_photos(change, form.cleaned_data["photos"])


def save_note(request: HttpRequest) -> None:
    """Put a note with its photos into the diary of the job."""
    entry = DiaryEntry(job=job_of(request), written_at=timezone.now())
    form = DiaryForm(request.POST, request.FILES, instance=entry, today=timezone.localdate())
    if not form.is_valid():
        raise refused_form(form)
    add_diary_photos(form.save(), form.cleaned_data["photos"])


def save_item(request: HttpRequest) -> None:
    """Put what was seen on a walk-through on the punch list, as seen on that day."""
    job, on = job_of(request), _day(request)
    listed = read_list(job, lock=True)
    if listed.why_fixed:
        raise RefusedRecord(listed.why_fixed)
    form = ItemForm(
        request.POST,
        request.FILES,
        instance=PunchListItem(job=job),
        rooms=job.rooms.all(),
        others=listed.items,
        to_ask=listed.to_ask,
    )
    if not form.is_valid():
        raise refused_form(form)
    put_on_list(form.save(commit=False), on or timezone.localdate(), form.cleaned_data["photos"])


def save_item_done(request: HttpRequest) -> None:
    """Mark an item of the punch list done on the day on which it was, with photos of it.

    Where somebody marked it meanwhile, that day stands, and the photos are kept.
    """
    job, on, pk = job_of(request), _day(request), request.POST.get("item", "")
    rows = {f"{listed.row.pk}": listed for listed in read_list(job, lock=True).rows}
    listed = rows.get(pk)
    if listed is None or not listed.item.in_scope:
        raise RefusedRecord("This item isn't on the punch list any more. Look at the job's punch list.")
    form = DoneForm(request.POST, request.FILES)
    if not form.is_valid():
        raise refused_form(form)
    close_item(listed.row, on or timezone.localdate(), form.cleaned_data["photos"])


def _day(request: HttpRequest) -> date | None:
    """Return the day that was typed, or that of a tap; None where it is empty."""
    field = PastDayField(required=False)
    field.today = timezone.localdate()
    try:
        return field.clean(request.POST.get("on"))
    except ValidationError as error:
        sentence = " ".join(error.messages)
        raise RefusedRecord(sentence, {"on": sentence}) from error


def job_of(request: HttpRequest) -> Job:
    """Return the job that a record is of."""
    pk = request.POST.get("job", "")
    job = Job.objects.select_related("client").filter(pk=pk).first() if pk.isdecimal() else None
    if job is None:
        raise RefusedRecord("The job is not here any more: it was deleted. Save what you kept as a file.")
    return job


def _time(request: HttpRequest) -> datetime:
    """Return the time at which a record was kept, by the phone's clock."""
    now = timezone.now()
    try:
        at = datetime.fromtimestamp(int(request.POST.get("at", "")) / 1000, UTC)
    except (ValueError, OverflowError, OSError) as error:
        raise RefusedRecord("The time of this record can't be read. Type the hours instead.") from error
    if at > now + AHEAD:
        raise RefusedRecord("This was kept at a time that is still to come: the phone's clock was wrong.")
    return min(at, now)


RECORD_KINDS: Mapping[str, Callable[[HttpRequest], None]] = {
    "hours": save_hours,
    "clock-start": save_clock_start,
    "clock-stop": save_clock_stop,
    "receipt": save_receipt,
    "finished": save_finished_work,
    "note": save_note,
    "found": save_found,
    "item": save_item,
    "done": save_item_done,
    "room": save_room,
    "photo": save_room_photo,
}
