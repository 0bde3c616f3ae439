"""The end of a job on two phones: a choice that moves the price, an item done offline, the last cent."""

import re
from collections.abc import Callable

import pytest
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Page, expect

from closing.models import PunchListItem
from estimating.changes.draft import signed_job
from estimating.models import Allowance, Document, Job
from invoicing.models import BillDraft, Milestone, PaymentPlan
from invoicing.payment_plan.templates import create_plan
from jobsite.models import Choice
from tests.closing.lists import end_job, seen
from tests.conftest import PHONE
from tests.estimating.client_visits import EMAIL, NAME, sent
from tests.estimating.issuing import DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_firm
from tests.invoicing.bills import BILLING_FIRM, THIRDS, billed
from tests.invoicing.money_rows import pay
from tests.soundness import is_sound

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]

FLOOR, ALLOWANCE, GLOSS = 196_80, 120_00, 60_00  # cents; what costs $50.00 more is $60.00 with its markup
HELD_FOR_THE_DOOR = 25_00


def cents(document: Document) -> int:
    return int(document.total.amount * 100)


@pytest.fixture
def job(transactional_db: None) -> Job:
    make_firm(detail="line", warranty_months=12, **BILLING_FIRM)
    estimate = painted_floor()
    Allowance.objects.create(estimate=estimate, name="Finish", amount=100)
    document = issue_now(estimate)
    sign_on_paper(document)
    create_plan(document.job, THIRDS)
    PaymentPlan.objects.update(retainage_percent=10, changes_go="own")
    signed = signed_job(document.job)
    assert signed
    place = signed.allowances[0].line.place
    values = {"document_id": place[0], "key": place[1], "shown_at": timezone.now()}
    choice = Choice.objects.create(job=document.job, what="Finish", **values)
    for title, cost in (("Satin", 100), ("Gloss", 150)):
        choice.offers.create(title=title, cost=cost)
    seen(document.job, worth="25.00")
    return document.job


def sign_the_change(client: Page) -> None:
    client.get_by_role("link", name="Read and sign").click()
    client.get_by_label("Your full name").fill(NAME)
    client.get_by_label("I agree to sign this paper electronically").check()
    client.get_by_role("button", name=re.compile("^Sign")).click()
    expect(client.get_by_role("status").get_by_text("by Marisol Okonjo on")).to_be_visible()


def test_what_the_client_chooses_is_signed_what_was_seen_is_done_and_every_cent_is_paid(
    job: Job, open_as_owner: Callable[..., Page], open_page: Callable[..., Page], signed_in: Client
) -> None:
    owner, client = open_as_owner(**PHONE, service_workers="allow"), open_page(**PHONE)
    client.goto(sent(signed_in, job.documents.get()))
    mine = client.url
    expect(client.get_by_role("heading", name="What waits for you")).to_have_count(0)
    client.get_by_role("link", name="Choose").click()
    is_sound(client)
    client.get_by_label(re.compile("Gloss")).check()
    client.get_by_role("button", name="Choose it").click()
    expect(client.get_by_role("status").get_by_text("a change for you to sign follows")).to_be_visible()

    owner.goto(f"/jobs/{job.pk}/choices/")
    is_sound(owner)
    owner.get_by_role("link", name="its change").click()
    owner.get_by_role("link", name="Issue this change").click()
    owner.get_by_role("button", name="Issue and send").click()
    owner.get_by_label("Who signs").fill(NAME)
    owner.get_by_label("E-mail").fill(EMAIL)
    owner.get_by_role("button", name="Send to client").click()
    expect(owner.get_by_role("heading", level=1)).to_have_text("On its way to the client")
    client.goto(mine)
    sign_the_change(client)

    owner.goto(f"/on-site/#/jobs/{job.pk}")
    owner.get_by_role("link", name="Done: The door sticks").wait_for()
    is_sound(owner)
    owner.context.set_offline(True)
    owner.get_by_role("link", name="Done: The door sticks").click()
    owner.get_by_role("button", name="Keep it as done").click()
    expect(owner.get_by_text("Item done: kept on this phone.")).to_be_visible()
    left = owner.get_by_role("region", name="Left on the punch list")
    expect(left.get_by_role("listitem")).to_have_text("The door sticksdone")
    end_job(job)  # while the item waits on the phone: its worth stays held
    bills = [billed(job, name) for name in ("Begun", "First coat", "Done")]
    change = Document.objects.get(kind=Document.Kind.CHANGE_ORDER)
    assert cents(change) == GLOSS
    bills.append(billed(job, Milestone.objects.get(change=change).name))
    assert sum(map(cents, bills)) == FLOOR + ALLOWANCE + GLOSS - HELD_FOR_THE_DOOR
    owner.context.set_offline(False)
    expect(owner.get_by_role("link", name="All sent from this phone")).to_be_visible()
    assert PunchListItem.objects.get().done_on == timezone.localdate()
    bills.append(billed(job, kind=BillDraft.Kind.RELEASE))
    assert cents(bills[-1]) == HELD_FOR_THE_DOOR
    pay(job, f"{(FLOOR + ALLOWANCE + GLOSS) / 100:.2f}", on=DAY)

    client.goto(mine)
    expect(client.get_by_text("Nothing. We are in touch when something does.")).to_be_visible()
    is_sound(client)
    owner.goto(f"/jobs/{job.pk}/care/")
    expect(owner.get_by_role("link", name="Finish Gloss, as the client chose")).to_be_visible()
    is_sound(owner)
