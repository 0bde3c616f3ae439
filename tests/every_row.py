"""At least one row of every model of the apps, for tests of the database as a whole."""

from datetime import timedelta
from decimal import Decimal

from catalog.models import (
    Assembly,
    Firm,
    Kit,
    KitLine,
    Material,
    Package,
    PriceColumns,
    Supplier,
    SupplierItem,
    Wage,
)
from catalog.starter.load import load
from closing.models import Installed, MaterialPaper, PunchListItem, PunchListPhoto
from estimating.client.signed_copy import signed_copy
from estimating.models import (
    Allowance,
    BoardChoice,
    BoardRules,
    BoardSize,
    ChangeOrder,
    ChangePhoto,
    ClientLink,
    ClientSupply,
    Document,
    Estimate,
    EstimatePhoto,
    FirstStepTick,
    FixedFootprint,
    HiddenCondition,
    Job,
    JobLink,
    KeptLayout,
    MeasureOverride,
    RoomPhoto,
    SetAside,
    UndoStep,
    WaitingMail,
)
from invoicing.models import (
    BillDraft,
    FinishedWork,
    MilestonePhoto,
    MoneyRules,
    NoticeRule,
    Pattern,
    PatternStep,
    PlacedPart,
    PlannedChange,
    PlannedCost,
    Reminder,
    StateWaiver,
    WorkDays,
)
from jobsite.models import (
    Absence,
    BoughtMaterial,
    CalendarEntry,
    CalendarFeed,
    CallBack,
    Choice,
    ChoiceMade,
    ChoiceOffer,
    Correction,
    DiaryEntry,
    DiaryPhoto,
    HoursWorked,
    JobDays,
    KeptPlan,
    KeptSteps,
    LeadRecord,
    LeadTime,
    Mileage,
    OutsideEvent,
    Permit,
    PermitPhoto,
    ReceiptKept,
    ReceiptLine,
    ReceiptPhoto,
    Reference,
    RunningClock,
    StepDate,
    StepProgress,
    SuggestionAnswer,
    ToldDates,
    WorkWeek,
)
from jobsite.models.days import WEEKDAYS
from phone.models import RoomOfRecord
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import (
    cabinets_chosen,
    make_change,
    photo,
    rotten_subfloor,
    signed_change,
    signed_kitchen,
)
from tests.factories import make_estimate, make_job, make_opening, make_room, put_on
from tests.invoicing.bills import billed, credited, draft, milestone, signed_floor
from tests.invoicing.money_rows import pay


def every_kind_of_row() -> None:
    """A catalog, a signed kitchen with changes, a draft with all that can be typed, and a billed floor."""
    load()
    BoardRules.objects.create(material=_sheet(), gap_nm=3_000_000)
    _kit()
    _signed_kitchen()
    _draft()
    _billed_floor()
    _rules_of_the_firm()


def _sheet() -> Material:
    return Material.objects.exclude(sheet_length_nm=None).order_by("pk")[0]


def _kit() -> None:
    kit = Kit.objects.create(code="a-floor", name="A floor")
    KitLine.objects.create(kit=kit, assembly=Assembly.objects.order_by("pk")[0])
    Supplier.objects.get_or_create(name="Fennimore Lumber", defaults={"phone": "555-0117"})


def _signed_kitchen() -> None:
    job = signed_kitchen()
    document = job.documents.get()
    signed_copy(document.acceptance, AT)
    page = JobLink.objects.create(
        job=job,
        name="Marisol Okonjo",
        seed="3" * 64,
        secret_sha256="3" * 64,
        made_at=AT,
        expires_at=AT + timedelta(days=90),
    )
    link = ClientLink.objects.create(
        document=document,
        job_link=page,
        name="Marisol Okonjo",
        secret_sha256="1" * 64,
        once="once",
        made_at=AT,
        expires_at=AT + timedelta(days=90),
    )
    WaitingMail.objects.create(event=document.events.latest("place"), link=link, next_at=AT)
    found = rotten_subfloor(job)
    ChangePhoto.objects.create(
        change=found, content=photo().getvalue(), sha256="2" * 64, caption="Under the sink"
    )
    change = signed_change(found)
    _kept_on_site(job, change)
    _punch_list(job)
    PlannedChange.objects.create(change=cabinets_chosen(job), goes="last")
    assert ChangeOrder.time_and_material.through.objects.exists()
    make_change(job, "Not issued yet", reason="client")
    _days(job, document)
    _with_the_client(job, page)


def _with_the_client(job: Job, page: JobLink) -> None:
    shown = photo().getvalue()
    permit = Permit.objects.create(job=job, what="Electrical")
    PermitPhoto.objects.create(permit=permit, content=shown, sha256="9" * 64)
    OutsideEvent.objects.create(job=job, permit=permit, kind="inspection", title="Rough wiring", on=DAY)
    LeadRecord.objects.create(job=job, given_on=DAY, done=["signs"])
    choice = Choice.objects.create(job=job, what="Wall color", shown_at=AT)
    white = ChoiceOffer.objects.create(choice=choice, title="Chalk white", photo=shown)
    ChoiceOffer.objects.create(choice=choice, title="Sand")
    ChoiceMade.objects.create(
        choice=choice, offer=white, name="Marisol Okonjo", at=AT, page=page, difference=Decimal(0)
    )
    entry = DiaryEntry.objects.create(job=job, on=DAY, says="The floor is level", written_at=AT)
    before, after = (
        DiaryPhoto.objects.create(entry=entry, content=shown, small=shown, sha256=digit * 64)
        for digit in "ab"
    )
    Reference.objects.create(job=job, before=before, after=after, asked_at=AT)


def _punch_list(job: Job) -> None:
    MaterialPaper.objects.create(material=_sheet(), name="Care", content=b"%PDF-1.7", sha256="8" * 64)
    Installed.objects.create(job=job, name="Cabinet pulls", color="Brass")
    Installed.objects.create(job=job, material=_sheet(), lot="7731 B")
    for text, whose in (("The door sticks", "scope"), ("A shelf over the sink", "wish")):
        item = PunchListItem.objects.create(job=job, text=text, whose=whose, noted_on=DAY)
        shown = photo().getvalue()
        PunchListPhoto.objects.create(item=item, content=shown, small=shown, sha256="7" * 64)


def _kept_on_site(job: Job, change: Document) -> None:
    on_change = {"job": job, "document": change}
    HoursWorked.objects.create(on=DAY, hours=Decimal("3.50"), says="Sistered the joist", **on_change)
    receipt = ReceiptKept.objects.create(on=DAY, cost=Decimal("26.80"), says="Joist", **on_change)
    ReceiptPhoto.objects.create(receipt=receipt, content=photo().getvalue(), sha256="6" * 64)
    ReceiptLine.objects.create(receipt=receipt, says="2x10", amount=Decimal("26.80"), material=_sheet())
    RunningClock.objects.create(pk=1, job=job, phase="rough", started_at=AT)
    Correction.objects.create(job=job, kind="hours", row=1, was="3 hours", at=AT)
    Mileage.objects.create(job=job, on=DAY, miles=Decimal("12.5"), rate=Decimal("0.655"))
    BoughtMaterial.objects.create(job=job, code="joist", on=DAY)
    CallBack.objects.create(job=job, on=DAY, says="A seam opened")


def _draft() -> None:
    """A draft that isn't issued, with all that can be typed of one."""
    job = make_job(name="Upstairs bath", quote_due_on=DAY)
    room, estimate = make_room(job), make_estimate(job)
    make_opening(room)
    of_room = RoomPhoto.keep(room, photo().getvalue(), DAY, wall=1, along_nm=914_400_000, caption="Damp")
    RoomOfRecord.objects.create(key="a room", room=room)
    FixedFootprint.objects.create(room=room, kind="tub", length_nm=1_524_000_000, depth_nm=762_000_000)
    assembly, other = Assembly.objects.filter(measure="floor").order_by("pk")[:2]
    item = put_on(estimate, assembly, room)
    MeasureOverride.objects.create(item=item, measure="floor", amount=Decimal(118), typed="118", reason="Tub")
    ClientSupply.objects.create(item=item, material=_sheet(), needed_by=DAY)
    SetAside.objects.create(estimate=estimate, assembly=other)
    FirstStepTick.objects.create(code="logo")
    Wage.objects.create(
        area="Fennimore", code="47-2141", title="Painters", month="May 2025", median=Decimal(24)
    )
    PriceColumns.objects.create(headings="item|price", columns={"words": 0, "price": 1})
    SupplierItem.objects.create(
        supplier=Supplier.objects.order_by("pk")[0], key="b-12", package=Package.objects.order_by("pk")[0]
    )
    UndoStep.objects.create(estimate=estimate, words="1 line moved", rows={})
    Allowance.objects.create(estimate=estimate, name="Vanity", amount=Decimal(900), covers_labor=True)
    HiddenCondition.objects.create(
        estimate=estimate, name="Rotten subfloor", unit="sq ft", price=Decimal("14.00"), most=Decimal(40)
    )
    EstimatePhoto.objects.create(
        estimate=estimate, content=photo().getvalue(), sha256="3" * 64, of_room=of_room
    )
    _boards(job, estimate)


def _boards(job: Job, estimate: Estimate) -> None:
    room, sheet = job.rooms.get(), _sheet()
    other = Material.objects.exclude(sheet_length_nm=None).exclude(pk=sheet.pk).order_by("pk")[0]
    BoardChoice.objects.create(room=room, surface="floor", material=sheet, corner="sw")
    BoardSize.objects.create(job=job, board=sheet, instead=other)
    KeptLayout.objects.create(room=room, surface="floor", board=sheet.code, key="4" * 64, found={"sheets": 4})


def _billed_floor() -> None:
    job = signed_floor(work_begins_on=DAY)
    first = milestone(job, "Begun")
    MilestonePhoto.objects.create(milestone=first, content=photo().getvalue(), sha256="5" * 64)
    invoice = billed(job, "Begun")
    credited(invoice, Begun="10.00")
    pay(job, "20.00", invoice)
    Reminder.objects.create(
        invoice=invoice, step="Reminder", open=Decimal(1), to="a@example.com", text="-", at=AT
    )
    document = job.documents.get(kind="estimate")
    key = document.read_basis()["lines"][0]["key"]
    FinishedWork.objects.create(document=document, key=key, finished_on=DAY)
    HoursWorked.objects.create(job=job, document=document, key=key, on=DAY, hours=Decimal(3))
    SuggestionAnswer.objects.create(
        kind="run",
        taken=True,
        jobs=3,
        title="Hours of one supply run",
        now="1.8 h",
        then="2 h",
        at=AT,
        was={"run_hours": "1.8"},
        prior={"run_hours": "1.8"},
        made={"run_hours": "2"},
    )
    PlacedPart.objects.create(document=document, milestone=milestone(job, "Done"), amount=Decimal("5.00"))
    PlannedCost.objects.create(plan=job.payment_plan, says="Tile", amount=Decimal(300), on=DAY)
    WorkDays.objects.create(job=job, first=DAY)
    draft(job, "First coat", kind=BillDraft.Kind.WORK, note="Thank you.")


def _days(job: Job, document: Document) -> None:
    WorkWeek.objects.create(pk=1, **dict.fromkeys(WEEKDAYS, Decimal(8)))
    Absence.objects.create(first=DAY, last=DAY)
    LeadTime.objects.create(material=_sheet(), days=14)
    JobDays.objects.create(job=job)
    StepDate.objects.create(job=job, step="1:1", kind="on", day=DAY)
    StepProgress.objects.create(job=job, step="1:1", noted_at=AT)
    OutsideEvent.objects.create(job=job, kind="delivery", title="Tile", on=DAY)
    KeptSteps.objects.create(job=job, digest="6" * 64, content={})
    KeptPlan.objects.create(scope=job.pk, digest="7" * 64, content={})
    told = {"begins": "2026-11-24", "finish": "2026-11-24", "days": [], "home": [], "decide": []}
    ToldDates.objects.create(
        job=job, document=document, begins=DAY, finish=DAY, content=told, told_at=AT, reason="Rain"
    )
    CalendarFeed.objects.create(name="My phone", secret_sha256="8" * 64, once="once", made_at=AT)
    facts = {"title": "Tile", "begins": "2026-11-24", "ends": "2026-11-25", "whole_days": True, "text": ""}
    CalendarEntry.objects.create(
        uid="1@benchrule",
        job=job,
        kind="told",
        key="finish",
        facts_sha256="9" * 64,
        facts=facts,
        changed_at=AT,
    )


def _rules_of_the_firm() -> None:
    firm = Firm.current()
    firm.license, firm.paper_size = "Registration TRT-0142", Firm.Paper.A4
    firm.labor_rate, firm.code_required_above = Decimal("71.25"), Decimal(2500)
    firm.save()
    MoneyRules.objects.create(pk=1, late_percent=Decimal("9.5"))
    StateWaiver.objects.create(
        kind="conditional_progress", text="{firm}", citation="Lien Code section 7", confirmed_on=DAY
    )
    NoticeRule.objects.create(
        name="Lien notice", days=90, counted_from="last", citation="A lien law", confirmed_on=DAY
    )
    pattern = Pattern.objects.create(name="Halves")
    PatternStep.objects.create(pattern=pattern, name="Half", condition="Half is done.", amount=Decimal(100))
