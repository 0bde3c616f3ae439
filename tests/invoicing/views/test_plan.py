"""The Money place: drawing, editing and reaching milestones, and what stands in the way."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from estimating.client.cancel import enter_cancellation
from estimating.models import Document, Estimate, Job
from invoicing.invoices.issue import issue_bill
from invoicing.milestones.templates import FIVE_MILESTONES
from invoicing.models import (
    BillDraft,
    FinishedWork,
    Milestone,
    MilestonePhoto,
    Pattern,
    PaymentPlan,
    PlannedCost,
)
from invoicing.payment_plan.plan import read_plan
from invoicing.payment_plan.templates import create_plan
from saving.once import KEY
from tests.estimating.issuing import AT, DAY, painted_floor
from tests.estimating.signed_kitchen import agreed, issued_change, make_change, photo, sign_on_paper
from tests.invoicing.bills import billed, draft, milestone, ready, signed_floor
from tests.responses import PageResponse
from tests.saving.site import forms_on

pytestmark = pytest.mark.django_db
issued = pytest.mark.django_db  # papers are issued in transactions of their own


@pytest.fixture
def job() -> Job:
    """A draft of $196.80 with the plan that ships."""
    job = painted_floor().job
    create_plan(job, FIVE_MILESTONES.steps)
    return job


def text(response: PageResponse) -> str:
    return " ".join(response.content.decode().split())


def money(client: Client, job: Job) -> str:
    response = client.get(reverse("job-money", args=[job.pk]))
    assert response.status_code == 200
    return text(response)


def entry(**changed: str) -> dict[str, str]:
    return {"name": "Floor set", "condition": "It is grouted.", "asks": "25 %", **changed}


def floor_and_trim(price: str, **job: Any) -> Job:
    """The floor at $196.80, which costs 164.00, and trim at an agreed price."""
    signed = signed_floor(**job)
    change = make_change(signed, "Trim")
    agreed(change, "Trim", "1", "", price)
    sign_on_paper(issued_change(change))
    return signed


def boxes(client: Client, job: Job) -> dict[str, str]:
    """The boxes of the page of finished work, by the title of the work."""
    groups = client.get(reverse("work-done", args=[job.pk])).context["groups"]
    return {work.line.title: name for _, _, rows in groups for name, work in rows}


def test_a_job_without_a_plan_offers_the_patterns_and_draws_one(signed_in: Client) -> None:
    job = painted_floor().job
    assert FIVE_MILESTONES.name in money(signed_in, job)
    signed_in.post(reverse("plan-set-up", args=[job.pk]), {"pattern": "five"})
    page = money(signed_in, job)
    assert all(step.name in page for step in FIVE_MILESTONES.steps)
    assert "Payment schedule, a draft" in page
    assert "$196.80" in page


def test_an_estimate_without_work_has_nothing_to_plan(signed_in: Client) -> None:
    estimate = painted_floor()
    estimate.items.all().delete()
    assert "There is nothing to bill yet" in money(signed_in, estimate.job)


def test_drawing_twice_keeps_the_first_plan(signed_in: Client, job: Job) -> None:
    signed_in.post(reverse("plan-set-up", args=[job.pk]), {"pattern": "one"})
    assert Milestone.objects.filter(plan__job=job).count() == 5


@pytest.mark.parametrize("pattern", ["", "9999", "six", "²"])
def test_a_pattern_that_is_not_there_is_not_found(signed_in: Client, pattern: str) -> None:
    response = signed_in.post(reverse("plan-set-up", args=[painted_floor().job.pk]), {"pattern": pattern})
    assert response.status_code == 404


@pytest.mark.parametrize(
    ("asks", "amount", "rest"),
    [("30 %", "59.04", "9.84"), ("$40", "40.00", "28.88"), ("$1.5", "1.50", "67.38")],
)
def test_an_edited_milestone_moves_the_balance(
    signed_in: Client, job: Job, asks: str, amount: str, rest: str
) -> None:
    row = milestone(job, "Floor set")
    response = signed_in.post(reverse("milestone", args=[row.pk]), entry(asks=asks))
    assert response.status_code == 302
    job_plan = read_plan(job)
    assert job_plan.plan.amount(row.key) == Decimal(amount)
    assert job_plan.plan.amount(milestone(job, "Punch list done").key) == Decimal(rest)


@pytest.mark.parametrize(
    ("asks", "message"),
    [
        ("25", "could be money or a share"),
        ("", "Fill this in"),
        ("120 %", "out of range"),
        ("36 %", "come to more than $196.80"),
        ("$500", "come to more than $196.80"),
        ("$-5", "A price can&#x27;t be negative"),
        ("balance", "Only one milestone can be the balance"),
        ("NaN %", "isn&#x27;t a number"),
        ("$1e309", "Type dollars and cents, such as 12.50"),
    ],
)
def test_what_cannot_stand_is_said_beside_the_field_and_kept(
    signed_in: Client, job: Job, asks: str, message: str
) -> None:
    row = milestone(job, "Floor set")
    response = signed_in.post(reverse("milestone", args=[row.pk]), entry(asks=asks, name="Tile down"))
    assert response.status_code == 422
    assert message in text(response)
    assert 'value="Tile down"' in text(response)
    assert milestone(job, "Floor set").share_percent == 25


@pytest.mark.parametrize(
    ("asks", "message"),
    [
        ("25 %", "About $49.20 of $196.80"),
        ("$40", "$40.00 of $196.80"),
        ("The rest", "Whatever the other milestones leave."),
        ("", ""),
        ("<b>\0", "“&lt;b&gt;” could be money or a share"),
        ("Infinity %", "isn&#x27;t a number"),
    ],
)
def test_what_he_types_is_read_back_in_money(signed_in: Client, job: Job, asks: str, message: str) -> None:
    response = signed_in.get(reverse("asks-reading", args=[job.pk]), {"asks": asks})
    assert response.status_code == 200
    assert message in text(response)


def test_a_share_is_read_back_to_the_cent_of_its_plan(signed_in: Client, job: Job) -> None:
    """Of $196.83 a tenth is $19.683, and a quarter $49.2075: the cents left over go to the last of them."""
    Estimate.objects.filter(job=job).update(minimum_charge=Decimal("196.83"))
    for name in ("Deposit at signing", "Drywall finished", "Floor set", "Cabinets set"):
        row = milestone(job, name)
        asks = f"{row.share_percent:f} %"
        address = reverse("asks-reading", args=[job.pk])
        said = text(signed_in.get(address, {"asks": asks, "milestone": f"{row.pk}"}))
        plan = read_plan(job).plan
        assert said == f"${plan.amount(row.key)} of $196.83", name
    assert "About" in text(signed_in.get(address, {"asks": "90 %", "milestone": f"{row.pk}"}))
    assert "About" in text(signed_in.get(address, {"asks": "25 %", "milestone": "x"}))


def test_a_milestone_can_be_added_moved_and_taken_out(signed_in: Client, job: Job) -> None:
    signed_in.post(
        reverse("milestone-new", args=[job.pk]), entry(name="Tile down", asks="$10", expected_on="2026-12-18")
    )
    tile = milestone(job, "Tile down")
    assert tile.expected_on.isoformat() == "2026-12-18"
    for _ in range(5):
        signed_in.post(reverse("milestone-move", args=[tile.pk]), {"way": "up"})
    signed_in.post(reverse("milestone-move", args=[tile.pk]), {"way": "up"})
    names = [row.name for row in read_plan(job).milestones]
    assert names[0] == "Tile down"
    signed_in.post(reverse("milestone-remove", args=[tile.pk]))
    assert [row.name for row in read_plan(job).milestones] == [step.name for step in FIVE_MILESTONES.steps]


def test_a_milestone_of_no_money_stays_one(signed_in: Client, job: Job) -> None:
    Milestone.objects.filter(name="Floor set").update(share_percent=None, amount=0)
    page = signed_in.get(reverse("milestone", args=[milestone(job, "Floor set").pk])).content.decode()
    assert 'value="$0.00"' in page


def test_the_balance_cannot_be_taken_out(signed_in: Client, job: Job) -> None:
    row = milestone(job, "Punch list done")
    response = signed_in.post(reverse("milestone-remove", args=[row.pk]))
    assert response.status_code == 422
    assert "they must come to 100 %" in text(response)
    assert milestone(job, "Punch list done") == row


@issued
def test_a_reached_milestone_has_its_day_and_photos(signed_in: Client) -> None:
    job = signed_floor()
    row = milestone(job, "Begun")
    page = reverse("milestone-reached", args=[row.pk])
    today = timezone.localdate()
    picture = SimpleUploadedFile("floor.jpg", photo().getvalue(), "image/jpeg")
    response = signed_in.post(page, {"reached_on": today.isoformat(), "photos": [picture]}, follow=True)
    assert "Begun is complete: $59.04 can be billed." in text(response)
    kept = MilestonePhoto.objects.get(milestone=row)
    shown = signed_in.get(reverse("milestone-photo", args=[kept.pk]))
    assert (shown.status_code, shown["Content-Type"]) == (200, "image/jpeg")
    assert milestone(job, "Begun").reached_on == today


def test_a_pattern_that_asks_for_more_than_the_job_comes_to_is_not_drawn(signed_in: Client) -> None:
    pattern = Pattern.objects.create(name="Big jobs")
    pattern.steps.create(name="Deposit", condition="Signed.", amount=Decimal("1000.00"))
    pattern.steps.create(name="Done", condition="The floor can be walked on.", position=1)
    job = painted_floor().job
    page = signed_in.post(reverse("plan-set-up", args=[job.pk]), {"pattern": pattern.pk}, follow=True)
    assert "doesn&#x27;t fit this job. The milestones come to more than $196.80" in text(page)
    assert not PaymentPlan.objects.exists()


@issued
def test_a_milestone_that_is_billed_is_not_said_to_have_something_to_bill(signed_in: Client) -> None:
    job = signed_floor()
    billed(job, "Begun")
    page = reverse("milestone-reached", args=[milestone(job, "Begun").pk])
    said = text(signed_in.post(page, {"reached_on": timezone.localdate().isoformat()}, follow=True))
    assert "Begun is complete." in said


@issued
def test_reaching_a_milestone_ticks_the_work_it_stands_for(signed_in: Client) -> None:
    job = floor_and_trim("60.00", state="CA")
    asked = {}
    for name in ("Begun", "First coat", "Done", "Change order 1, Trim"):
        form = signed_in.get(reverse("milestone-reached", args=[milestone(job, name).pk])).context["form"]
        asked[name] = form.initial["finished"]
    document = Document.objects.get(kind="change_order")
    finish = "finish"
    assert asked == {
        "Begun": [],
        "First coat": [finish],
        "Done": [finish],
        "Change order 1, Trim": [f"change-{document.pk}"],
    }
    today = timezone.localdate()
    page = reverse("milestone-reached", args=[milestone(job, "First coat").pk])
    assert "1 piece of work, $196.80" in text(signed_in.get(page))
    signed_in.post(page, {"reached_on": today.isoformat(), "finished": [finish]})
    done = FinishedWork.objects.get()
    assert (done.finished_on, done.document.kind) == (today, "estimate")
    assert "bill at most $0.00" not in money(signed_in, job)


@issued
def test_the_ticks_are_his_to_correct(signed_in: Client) -> None:
    job = signed_floor()
    page = reverse("milestone-reached", args=[milestone(job, "Done").pk])
    answer = signed_in.post(page, {"reached_on": timezone.localdate().isoformat(), "finished": ["attic"]})
    assert answer.status_code == 422
    assert "Choose one of those offered" in text(answer)
    signed_in.post(page, {"reached_on": timezone.localdate().isoformat()})
    assert milestone(job, "Done").reached_on
    assert not FinishedWork.objects.exists()


@issued
def test_a_phase_is_ticked_whole(signed_in: Client) -> None:
    job = floor_and_trim("60.00")
    change = make_change(job, "Doors")
    for title in ("Door to the hall", "Door to the yard"):
        agreed(change, title, "1", "", "30.00")
    sign_on_paper(issued_change(change))
    work_done = reverse("work-done", args=[job.pk])
    assert "Tick all of it" in text(signed_in.get(work_done))
    document = Document.objects.filter(kind="change_order").latest("pk")
    whole = {boxes(signed_in, job)["Trim"]: "on", "whole": f"change-{document.pk}"}
    assert signed_in.post(work_done, whole)["Location"] == work_done
    assert FinishedWork.objects.count() == 3


@issued
def test_photos_that_are_too_many_or_no_photos_are_refused_in_plain_words(signed_in: Client) -> None:
    row = milestone(signed_floor(), "Begun")
    page, today = reverse("milestone-reached", args=[row.pk]), timezone.localdate().isoformat()
    for content, count, message in (
        (photo().getvalue(), 7, "send at most 6 at a time"),
        (b"text", 1, "floor.jpg: "),
    ):
        files = [SimpleUploadedFile("floor.jpg", content, "image/jpeg") for _ in range(count)]
        response = signed_in.post(page, {"reached_on": today, "photos": files})
        assert response.status_code == 422
        assert message in text(response)
    assert not MilestonePhoto.objects.exists()


@issued
def test_a_day_that_is_still_to_come_is_no_day_on_which_it_was_reached(signed_in: Client) -> None:
    row = milestone(signed_floor(), "Begun")
    tomorrow = timezone.localdate() + timedelta(days=1)
    response = signed_in.post(
        reverse("milestone-reached", args=[row.pk]), {"reached_on": tomorrow.isoformat()}
    )
    assert response.status_code == 422
    assert "That day is still to come" in text(response)


@issued
def test_the_mark_is_taken_back_until_it_is_billed(signed_in: Client) -> None:
    job = signed_floor()
    row = milestone(job, "Begun")
    page = reverse("milestone-reached", args=[row.pk])
    Milestone.objects.filter(pk=row.pk).update(reached_on=timezone.localdate())
    signed_in.post(page, {"not-yet": ""})
    assert milestone(job, "Begun").reached_on is None
    billed(job, "Begun")
    response = signed_in.post(page, {"not-yet": ""}, follow=True)
    assert "Begun is billed: credit the bill first." in text(response)
    assert milestone(job, "Begun").reached_on is not None


@issued
def test_beside_a_signed_job_with_nothing_drafted_stands_its_contract_sum(signed_in: Client) -> None:
    job = signed_floor()
    job.estimates.get().items.all().delete()
    shown = text(signed_in.get(reverse("job-comes-to", args=[job.pk]), headers={"HX-Request": "true"}))
    assert "Contract sum" in shown
    assert "$196.80" in shown
    assert "$0.00" not in shown


@issued
def test_a_billed_milestone_offers_no_mark_even_where_its_day_was_never_kept(signed_in: Client) -> None:
    job = signed_floor()
    mark = f'Mark complete<span class="hidden-label"> {milestone(job, "Begun").name}<'
    assert mark in money(signed_in, job)
    billed(job, "Begun")
    Milestone.objects.filter(pk=milestone(job, "Begun").pk).update(reached_on=None)
    assert mark not in money(signed_in, job)


def terms(**changed: str) -> dict[str, str]:
    return {
        "retainage_percent": "5",
        "deposit": "0",
        "special_order": "0",
        "changes_go": "own",
        "pays_after_days": "7",
        **changed,
    }


@issued
def test_terms_of_the_plan_are_kept_and_shown(signed_in: Client) -> None:
    job = signed_floor()
    signed_in.post(reverse("plan-terms", args=[job.pk]), terms(deposit="50"))
    page = money(signed_in, job)
    assert "5% of each bill for work is held back, none of a deposit" in page
    assert "A deposit of $50.00 is asked for first" in page


@issued
@pytest.mark.parametrize(
    ("changed", "message"),
    [
        ({"deposit": "196.81"}, "part of the contract sum: $196.80 or less"),
        ({"retainage_percent": "100"}, "out of range"),
        ({"pays_after_days": "-1"}, "isn’t a whole number"),
        ({"changes_go": "up"}, "Choose one of those offered"),
    ],
)
def test_terms_that_cannot_be_are_refused_in_plain_words(
    signed_in: Client, changed: dict[str, str], message: str
) -> None:
    job = signed_floor()
    response = signed_in.post(reverse("plan-terms", args=[job.pk]), terms(**changed))
    assert response.status_code == 422
    assert message in text(response).replace("&#x27;", "’")
    assert PaymentPlan.objects.get(job=job).retainage_percent == 0


def test_a_deposit_is_asked_for_one_way_only(signed_in: Client, job: Job) -> None:
    response = signed_in.post(reverse("plan-terms", args=[job.pk]), terms(deposit="10"))
    assert "A milestone is the deposit already" in text(response)


@issued
def test_a_milestone_is_no_deposit_beside_one_that_bills_take_off(signed_in: Client) -> None:
    job = signed_floor({"deposit": Decimal("50.00")})
    row = milestone(job, "Begun")
    response = signed_in.post(
        reverse("milestone", args=[row.pk]), entry(name="Begun", asks="30 %", is_deposit="on")
    )
    assert response.status_code == 422
    assert "set that to 0 first" in text(response)


@issued
def test_the_line_of_a_canceled_change_is_gone(signed_in: Client) -> None:
    job = signed_floor()
    change = make_change(job, "Trim")
    agreed(change, "Trim", "1", "", "60.00")
    sign_on_paper(issued_change(change))
    line = milestone(job, "Change order 1, Trim")
    assert signed_in.get(reverse("milestone", args=[line.pk])).status_code == 200
    estimate = Document.objects.get(job=job, kind="estimate")
    enter_cancellation(estimate, "Marisol Okonjo", DAY, "By mail", "pat", AT)
    for place in ("milestone", "milestone-reached", "milestone-remove"):
        assert signed_in.get(reverse(place, args=[line.pk])).status_code == 404
    assert signed_in.post(reverse("milestone-move", args=[line.pk])).status_code == 404


def test_the_state_s_rule_is_a_caution_and_moves_no_number(signed_in: Client, job: Job) -> None:
    Milestone.objects.filter(name="Deposit at signing").update(share_percent=20)
    assert "Say in which state the work is" in money(signed_in, job)
    Job.objects.filter(pk=job.pk).update(state="CA")
    page = money(signed_in, job)
    assert "a deposit of $39.36 is above $19.68" in page
    assert "7159.5(a)(3)" in page
    assert read_plan(job).plan.deposit_asked == Decimal("39.36")
    Job.objects.filter(pk=job.pk).update(state="TX")
    assert "Our table has no rule on deposits for Texas" in money(signed_in, job)


@issued
def test_billing_ahead_of_finished_work_is_said_where_work_is_ticked(signed_in: Client) -> None:
    """Trim at $60.00 weighs 50.00 beside the 164.00 of the floor: it has earned $60.00 of $256.80."""
    job = floor_and_trim("60.00", state="CA")
    begun = draft(job, "Begun", "First coat")
    assert "of work done: bill at most" not in text(signed_in.get(begun.get_absolute_url()))
    work_done = reverse("work-done", args=[job.pk])
    signed_in.post(work_done, {boxes(signed_in, job)["Trim"]: "on"})
    bill = text(signed_in.get(begun.get_absolute_url()))
    assert "With this bill $118.08 is asked for against $60.00 of work done: bill at most $60.00 now" in bill
    assert "7159.5(a)(5)" in bill
    issue_bill(begun, ready(begun), AT)
    assert "$118.08 is asked for against $60.00 of work done" in money(signed_in, job)
    signed_in.post(work_done, dict.fromkeys(boxes(signed_in, job).values(), "on"))
    page = money(signed_in, job)
    assert "The work is $138.72 ahead of billing." in page  # all of $256.80 is finished
    assert "of work done: bill at most" not in page
    signed_in.post(work_done, {})
    assert not FinishedWork.objects.exists()
    assert "No work is ticked as finished" in money(signed_in, job)


@issued
def test_what_is_held_back_is_not_asked_for_ahead_of_the_work(signed_in: Client) -> None:
    """30 % of $196.80 are $59.04, of which $5.90 are held; nothing is of a deposit. The trim has earned its
    $6.00."""
    job = floor_and_trim("6.00", state="CA", plan={"retainage_percent": 10})
    signed_in.post(reverse("work-done", args=[job.pk]), {boxes(signed_in, job)["Trim"]: "on"})
    bill = text(signed_in.get(draft(job, "Begun").get_absolute_url()))
    assert "With this bill $53.14 is asked for against $6.00 of work done" in bill
    Milestone.objects.filter(plan__job=job, name="Begun").update(is_deposit=True)
    bill = text(signed_in.get(draft(job, "Begun", "First coat").get_absolute_url()))
    assert "With this bill $53.14 is asked for against $6.00 of work done" in bill


@issued
def test_work_that_the_deposit_pays_for_is_not_ahead_of_billing(signed_in: Client) -> None:
    """The deposit is 30 % of $196.80, $59.04; all is finished before the rest is billed."""
    job = signed_floor()
    Milestone.objects.filter(plan__job=job, name="Begun").update(is_deposit=True)
    billed(job, "Begun")
    signed_in.post(reverse("work-done", args=[job.pk]), dict.fromkeys(boxes(signed_in, job).values(), "on"))
    billed(job, "First coat")
    assert "The work is $78.72 ahead of billing." in money(signed_in, job)
    billed(job, "Done")
    page = money(signed_in, job)
    assert "Billing is in step with the work: the deposit pays for what is done beyond it." in page
    assert "ahead of billing" not in page


@issued
def test_a_bill_of_retainage_alone_is_not_said_to_be_ahead_of_the_work(signed_in: Client) -> None:
    job = signed_floor(state="CA", plan={"retainage_percent": 10})
    billed(job, "Begun")
    release = BillDraft.objects.create(job=job, kind=BillDraft.Kind.RELEASE)
    bill = text(signed_in.get(release.get_absolute_url()))
    assert "$5.90" in bill
    assert "of work done: bill at most" not in bill


@issued
def test_where_no_rule_binds_a_firm_that_ticks_no_work_is_left_alone(signed_in: Client) -> None:
    job = signed_floor()
    billed(job, "Begun")
    assert "of work done: bill at most" not in money(signed_in, job)


@issued
def test_one_of_two_finished_pieces_is_worth_its_part_of_the_cost(signed_in: Client) -> None:
    """The paint costs 164.00 and sells for 196.80; trim at an agreed $60.00 weighs 50.00 beside it."""
    job = floor_and_trim("60.00")
    work = boxes(signed_in, job)
    assert list(work) == ["Paint the floor", "Trim"]
    signed_in.post(reverse("work-done", args=[job.pk]), {work["Paint the floor"]: "on"})
    comparison = signed_in.get(reverse("job-money", args=[job.pk])).context["comparison"]
    assert comparison.worth == Decimal("196.80")  # of $256.80, 164 of 214 parts
    assert comparison.worth_by_hours == Decimal("256.80")  # the trim has no hours
    assert (comparison.finished, comparison.lines) == (1, 2)


def test_a_plan_is_kept_as_a_pattern_once_under_a_name(signed_in: Client, job: Job) -> None:
    page = reverse("plan-keep", args=[job.pk])
    signed_in.post(page, {"name": "My five"})
    assert "already" in text(signed_in.post(page, {"name": "My five"}))
    pattern = Pattern.objects.get()
    assert [step.name for step in pattern.steps.all()] == [step.name for step in FIVE_MILESTONES.steps]
    signed_in.post(reverse("template-remove", args=[job.pk, pattern.pk]))
    assert not Pattern.objects.exists()


@issued
def test_a_plan_is_thrown_away_until_something_is_billed(signed_in: Client) -> None:
    job = signed_floor()
    billed(job, "Begun")
    response = signed_in.post(reverse("plan-discard", args=[job.pk]), follow=True)
    assert "it stays" in text(response)
    other = signed_in.post(reverse("plan-discard", args=[job.pk]))
    assert other.status_code == 302
    assert PaymentPlan.objects.filter(job=job).exists()


def test_the_cash_page_shows_what_another_split_would_do_and_keeps_it(signed_in: Client, job: Job) -> None:
    page = reverse("plan-cash", args=[job.pk])
    signed_in.post(
        reverse("planned-cost-new", args=[job.pk]),
        {"says": "Paint on order", "amount": "60", "on": "2026-01-05", "phase": "finish"},
    )
    assert PlannedCost.objects.get().amount.amount == 60
    shown = text(signed_in.get(page))
    assert "you are the client&#x27;s bank; at most $60.00" in shown
    rows = read_plan(job).milestones
    split = {
        f"share-{row.key}": share for row, share in zip(rows, ("40", "20", "20", "10", "10"), strict=True)
    }
    assert "With the other split:" in text(signed_in.get(page, split))
    signed_in.post(page, split)
    assert read_plan(job).plan.amount(rows[0].key) == Decimal("78.72")


def test_a_split_is_kept_as_its_numbers_are_read(signed_in: Client, job: Job) -> None:
    rows = read_plan(job).milestones
    shares = (" 33.3333 %", "16.6667", "20.0", "20", "10")
    split = {f"share-{row.key}": share for row, share in zip(rows, shares, strict=True)}
    assert signed_in.post(reverse("plan-cash", args=[job.pk]), split).status_code == 302
    kept = [row.share_percent for row in read_plan(job).milestones]
    assert kept == [Decimal("33.3333"), Decimal("16.6667"), 20, 20, 10]


@pytest.mark.parametrize(
    ("first", "message"), [("41", "shares come to 101.00 %"), ("39", "must come to 100"), ("x", "isn")]
)
def test_a_split_that_is_no_whole_is_refused(signed_in: Client, job: Job, first: str, message: str) -> None:
    rows = read_plan(job).milestones
    split = {
        f"share-{row.key}": share for row, share in zip(rows, (first, "20", "20", "10", "10"), strict=True)
    }
    page = reverse("plan-cash", args=[job.pk])
    assert message in text(signed_in.get(page, split))
    assert signed_in.post(page, split).status_code == 422
    assert read_plan(job).milestones[0].share_percent == 10


@issued
def test_a_change_is_sent_its_own_way(signed_in: Client) -> None:
    job = signed_floor()
    change = make_change(job, "Rot")
    agreed(change, "Rot", "1", "", "100.00")
    page = reverse("change-goes", args=[change.pk])
    assert signed_in.post(page, {"goes": "nowhere"}).status_code == 422
    signed_in.post(page, {"goes": "last"})
    assert change.planned.goes == "last"


@issued
def test_a_change_goes_with_the_milestone_that_he_chooses(signed_in: Client) -> None:
    job = signed_floor()
    issue_bill(bill := draft(job, "Begun"), ready(bill), AT)
    change = make_change(job, "Rot")
    agreed(change, "Rot", "1", "", "100.00")
    page = reverse("change-goes", args=[change.pk])
    offered = text(signed_in.get(page))
    assert "With First coat" in offered
    assert "With Begun" not in offered
    chosen = milestone(job, "First coat")
    assert signed_in.post(page, {"goes": milestone(job, "Begun").key}).status_code == 422
    signed_in.post(page, {"goes": chosen.key})
    assert f'value="{chosen.key}" required id="id_goes_3" checked' in text(signed_in.get(page))
    document = issued_change(change)
    (row,) = document.read_snapshot()["payments"]["rows"]
    assert row == {"name": "First coat", "before": "59.04", "after": "159.04"}
    sign_on_paper(document)
    assert "With Change order 1, Rot: $100.00" in money(signed_in, job)


def test_more_milestones_cost_no_more_queries(signed_in: Client, job: Job) -> None:
    def queries(place: str) -> int:
        with CaptureQueriesContext(connection) as asked:
            assert signed_in.get(reverse(place, args=[job.pk])).status_code == 200
        return len(asked)

    few = {place: queries(place) for place in ("job-money", "plan-cash")}
    kept = PaymentPlan.objects.get(job=job)
    for number in range(10):
        Milestone.objects.create(
            plan=kept, position=9, name=f"Step {number}", condition="Done.", amount=Decimal("0.50")
        )
    assert {place: queries(place) for place in few} == few


@pytest.mark.parametrize(
    "place",
    ["job-money", "plan-terms", "plan-keep", "plan-cash", "milestone-new", "work-done", "plan-discard"],
)
def test_the_money_of_a_job_is_for_whoever_is_signed_in(client: Client, job: Job, place: str) -> None:
    response = client.get(reverse(place, args=[job.pk]))
    assert response.status_code == 302
    assert response["Location"].startswith("/sign-in/")


@issued
def test_work_that_two_pages_tick_apart_is_finished_on_both(signed_in: Client) -> None:
    job = floor_and_trim("6.00")
    address, box = reverse("work-done", args=[job.pk]), boxes(signed_in, job)
    form = next(form for form in forms_on(address, signed_in.get(address).content) if form.opened)
    for work in ("Trim", "Paint the floor"):
        assert signed_in.post(address, {**form.sent, box[work]: "on", KEY: work}).status_code == 302
    page = forms_on(address, signed_in.get(address).content)
    assert {name for form in page for name in form.sent} >= set(box.values())
