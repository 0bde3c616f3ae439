"""A client chooses on his page: what is recorded, what moves the price, and what both are told.

The floor is signed at $196.80 with an allowance of $100.00 at cost for its finish: $120.00 in the price.
"""

import re
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.changes.draft import read_change, signed_job
from estimating.contract.unit_prices import UnitPrice
from estimating.models import Allowance, ChangeOrder, Document, DocumentEvent, Job, JobLink, WaitingMail
from estimating.verification.documents import faults
from jobsite.choices.choosing import CannotChoose, choices_for_file, choose
from jobsite.choices.options import options_to_take
from jobsite.days.plan import read_days
from jobsite.models import Choice, ChoiceMade, ChoiceOffer
from jobsite.views import choices as views
from tests.estimating.client_visits import floor_with_options, sent
from tests.estimating.issuing import DAY, issue_now, painted_floor
from tests.estimating.signed_kitchen import make_change, settle, sign_on_paper, signed_change
from tests.factories import make_firm
from tests.jobsite.views.test_receipts import picture
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def on_the_day(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(timezone, "localdate", lambda *_: DAY)


@pytest.fixture
def contract() -> Document:
    estimate = painted_floor()
    Allowance.objects.create(estimate=estimate, name="Finish", amount=Decimal("100.00"), decide_by=DAY)
    document = issue_now(estimate)
    sign_on_paper(document)
    make_firm(email="wren@example.com")
    return document


def offer(signed_in: Client, choice: Choice, title: str, cost: str = "", **more: Any) -> None:
    typed = {"title": title, "cost": cost, **more}
    assert signed_in.post(reverse("choice", args=[choice.pk]), typed).status_code == 302


@pytest.fixture
def finish(signed_in: Client, contract: Document) -> Choice:
    """Two finishes for the allowance, shown to the client: one costs what it holds, one $50.00 more."""
    (allowance,) = signed_in.get(reverse("choices", args=[contract.job_id])).context["without"]
    place = f"{allowance.line.document}:{allowance.line.key}"
    address = reverse("choice-new", args=[contract.job_id])
    signed_in.post(f"{address}?for={place}", {"what": "Finish", "says": "", "decide_by": ""})
    choice = Choice.objects.get()
    offer(signed_in, choice, "Satin", "100.00", photos=picture())
    offer(signed_in, choice, "Gloss", "150.00")
    signed_in.post(reverse("choice-show", args=[choice.pk]))
    return choice


def browser_of(signed_in: Client, contract: Document) -> tuple[Client, int]:
    """The client's browser, and his page of the job."""
    browser = Client()
    page = browser.get(sent(signed_in, contract))["Location"]
    return browser, int(page.rstrip("/").rpartition("/")[2])


def chosen(browser: Client, page: int, choice: Choice, title: str, **typed: str) -> PageResponse:
    address = reverse("client-choose", args=[page, choice.pk])
    shown = browser.get(address).context["found"].shown
    taken = ChoiceOffer.objects.get(choice=choice, title=title)
    return browser.post(address, {"offer": f"{taken.pk}", "name": "Dean Okonjo", "shown": shown, **typed})


def test_a_choice_that_moves_the_price_becomes_a_change_order_ready_to_send(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    browser, page = browser_of(signed_in, contract)
    looked = browser.get(reverse("client-choose", args=[page, finish.pk])).content.decode()
    assert "Adds $60.00" in looked  # 50.00 more at cost and 20 % on it
    chosen(browser, page, finish, "Gloss")
    change = ChangeOrder.objects.get()
    signed = signed_job(Job.objects.get())
    assert signed is not None
    assert read_change(change, signed, make_firm(), DAY).priced.total == Decimal("60.00")
    assert ChoiceMade.objects.get().change == change
    assert signed.contract.total == contract.total.amount


def test_one_that_does_not_is_a_record_that_both_get(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    browser, page = browser_of(signed_in, contract)
    assert [decision.title for decision in read_days(DAY, contract.job).decisions(contract.job_id)] == [
        "Finish"
    ]
    chosen(browser, page, finish, "Satin")
    assert not ChangeOrder.objects.exists()
    event = DocumentEvent.objects.get(kind="chosen")
    assert event.read_data()["shown"] == ["Finish", "Satin: is in the price", "Gloss: adds $60.00"]
    assert list(faults()) == []
    told = WaitingMail.objects.filter(subject__startswith="Chosen: Finish").values_list("to", flat=True)
    assert sorted(told) == ["okonjo@example.com", "wren@example.com"]
    assert read_days(DAY, contract.job).decisions(contract.job_id) == []
    waits = browser.get(reverse("client-job", args=[page])).content.decode()
    assert "Choose: Finish" not in waits
    assert (
        "chosen by the client: Finish: Satin"
        in signed_in.get(reverse("job-papers", args=[contract.job_id])).content.decode()
    )


def test_it_is_made_once(signed_in: Client, contract: Document, finish: Choice) -> None:
    browser, page = browser_of(signed_in, contract)
    chosen(browser, page, finish, "Satin")
    second = chosen(browser, page, finish, "Gloss")
    assert second.status_code == 409
    assert "This was chosen already: Satin, by Dean Okonjo" in second.content.decode()
    assert ChoiceMade.objects.get().offer.title == "Satin"


def test_what_was_changed_since_it_was_shown_is_looked_at_again(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    browser, page = browser_of(signed_in, contract)
    answer = chosen(browser, page, finish, "Gloss", shown="of before")
    assert answer.status_code == 409
    assert not ChoiceMade.objects.exists()


def test_nothing_is_shown_before_there_is_something_to_choose_from(
    signed_in: Client, contract: Document
) -> None:
    signed_in.post(reverse("choice-new", args=[contract.job_id]), {"what": "Wall color"})
    color = Choice.objects.get()
    offer(signed_in, color, "Chalk white")
    page = signed_in.post(reverse("choice-show", args=[color.pk]), follow=True)
    assert "Offer two things at least" in page.content.decode()
    color.refresh_from_db()
    assert color.shown_at is None


def test_one_entered_by_mistake_is_corrected_or_removed_before_it_is_shown(
    signed_in: Client, contract: Document
) -> None:
    signed_in.post(reverse("choice-new", args=[contract.job_id]), {"what": "Wall colr"})
    color = Choice.objects.get()
    signed_in.post(reverse("choice-edit", args=[color.pk]), {"what": "Wall color"})
    color.refresh_from_db()
    assert color.what == "Wall color"
    offer(signed_in, color, "Chalk white")
    signed_in.post(reverse("choice-remove", args=[color.pk]))
    assert not Choice.objects.exists()


def test_one_that_the_client_saw_is_withdrawn_and_its_record_stays(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    browser, page = browser_of(signed_in, contract)
    answer = signed_in.post(reverse("choice-edit", args=[finish.pk]), {"what": "Oil"}, follow=True)
    assert "stays as it was shown" in answer.content.decode()
    answer = signed_in.post(reverse("choice-remove", args=[finish.pk]), follow=True)
    assert "Withdrawn on" in answer.content.decode()
    address, taken = reverse("client-choose", args=[page, finish.pk]), finish.offers.all()[0].pk
    for late in (browser.get(address), browser.post(address, {"offer": f"{taken}", "name": "Dean Okonjo"})):
        assert late["Location"] == reverse("client-job", args=[page])
    assert "Finish is no longer offered." in browser.get(late["Location"]).content.decode()
    with pytest.raises(CannotChoose, match="no longer offered"), transaction.atomic():
        choose(finish.pk, JobLink.objects.get(pk=page), 1, "Dean Okonjo", "", timezone.now())
    (kept,) = choices_for_file(contract.job)
    assert (kept["what"], kept["made"]) == ("Finish", "Withdrawn on Tue 24 Nov 2026")
    assert signed_in.get(reverse("choices", args=[contract.job_id])).context["without"]  # offered anew


def test_what_is_withdrawn_while_the_client_chooses_is_said_to_be(
    signed_in: Client, contract: Document, finish: Choice, monkeypatch: pytest.MonkeyPatch
) -> None:
    browser, page = browser_of(signed_in, contract)
    address = reverse("client-choose", args=[page, finish.pk])
    found = browser.get(address).context["found"]
    readings = iter(([found], []))  # it is withdrawn between the two
    monkeypatch.setattr(views, "read_to_choose", lambda _: next(readings))
    typed = {"offer": f"{found.offers[0].offer.key}", "name": "Dean Okonjo", "shown": "of before"}
    assert browser.post(address, typed)["Location"] == reverse("client-job", args=[page])


def test_what_waits_for_the_client_is_asked_once(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    browser, page = browser_of(signed_in, contract)
    shown = browser.get(reverse("client-job", args=[page])).content.decode()
    assert "What waits for you" not in shown
    chosen(browser, page, finish, "Satin")
    shown = browser.get(reverse("client-job", args=[page])).content.decode()
    assert "Nothing. We are in touch when something does." in shown


def test_one_that_is_made_is_not_withdrawn(signed_in: Client, contract: Document, finish: Choice) -> None:
    browser, page = browser_of(signed_in, contract)
    chosen(browser, page, finish, "Satin")
    answer = signed_in.post(reverse("choice-remove", args=[finish.pk]), follow=True)
    assert "what was offered stays on record" in answer.content.decode()
    finish.refresh_from_db()
    assert finish.withdrawn_at is None


def test_another_client_sees_neither_choice_nor_picture(
    signed_in: Client, contract: Document, finish: Choice
) -> None:
    _, page = browser_of(signed_in, contract)
    picture_of = ChoiceOffer.objects.get(title="Satin")
    assert Client().get(reverse("client-choose", args=[page, finish.pk])).status_code == 404
    assert Client().get(reverse("client-choice-photo", args=[page, picture_of.pk])).status_code == 404


def test_the_client_is_reminded_with_one_tap(signed_in: Client, contract: Document, finish: Choice) -> None:
    browser_of(signed_in, contract)
    page = signed_in.get(reverse("choices", args=[contract.job_id]))
    ((row, soon),) = page.context["choices"]
    assert soon
    assert row.by == DAY
    answer = signed_in.post(reverse("choice-remind", args=[finish.pk]), follow=True)
    assert "Reminded: okonjo@example.com." in answer.content.decode()


@pytest.mark.parametrize("how", ["settled", "out of the contract"])
def test_what_a_signed_paper_has_settled_is_asked_of_nobody(
    signed_in: Client, contract: Document, finish: Choice, how: str
) -> None:
    browser, page = browser_of(signed_in, contract)
    if how == "settled":
        change = make_change(contract.job, "The finish", reason="client")
        settle(change, "choice", "Finish", "100.00")
        signed_change(change)
    else:
        Choice.objects.update(key="of an estimate before")
    answer = browser.get(reverse("client-choose", args=[page, finish.pk]))
    assert answer["Location"] == reverse("client-job", args=[page])
    listed = signed_in.get(reverse("choices", args=[contract.job_id])).content.decode()
    assert "Nothing is left to choose" in listed


def test_a_place_that_is_no_number_offers_something_of_its_own(signed_in: Client, contract: Document) -> None:
    address = reverse("choice-new", args=[contract.job_id])
    assert signed_in.get(f"{address}?for=²:1").status_code == 200


def test_options_that_nobody_took_stand_there_until_their_day(contract: Document) -> None:
    soon, later = (
        UnitPrice("option", 1, key, key, "Estimate 1001", "each", Decimal(9), Decimal(0), Decimal(1))
        for key in ("A niche", "A bench")
    )
    late = replace(later, title="A fan", decide_by=DAY - timedelta(days=1))
    prices = (later, replace(soon, decide_by=DAY), replace(soon, used=Decimal(1)), late)
    signed = signed_job(contract.job)
    assert signed
    left = options_to_take(replace(signed, prices=prices), DAY)
    assert [option.title for option in left] == ["A niche", "A bench"]


def test_an_option_that_the_client_takes_on_his_page_is_a_change_order_ready_to_send(
    signed_in: Client,
) -> None:
    document = issue_now(floor_with_options())
    sign_on_paper(document)
    browser, page = browser_of(signed_in, document)
    job_page = browser.get(reverse("client-job", args=[page])).content.decode()
    (address,) = re.findall(r'href="(/for-you/job/\d+/option/[^"]+)"', job_page)  # not the one that is late
    assert "Adds $196.80 before sales tax" in job_page
    Job.objects.update(closed=True)
    assert "Options you can still take" not in browser.get(f"/for-you/job/{page}/").content.decode()
    Job.objects.update(closed=False)
    assert browser.post(address, {"name": " "}).status_code == 422
    for said in ("Chosen: A further coat.", "can&#x27;t be taken any more"):
        answer = browser.post(address, {"name": "Dean Okonjo"}, follow=True)
        assert said in answer.content.decode()
    change = ChangeOrder.objects.get()
    assert (change.asked_by, change.lines.get().kind) == ("Dean Okonjo", "option")
    assert "Options you can still take" not in browser.get(f"/for-you/job/{page}/").content.decode()
    assert DocumentEvent.objects.get(kind="chosen").read_data()["chosen"] == "the option A further coat"
    signed_change(change)
    signed = signed_job(change.job)
    assert signed
    assert signed.contract.total == 2 * Decimal("196.80")
    assert list(faults()) == []
