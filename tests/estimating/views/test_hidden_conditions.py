"""If we find, on pages: typed, printed, signed, and picked by a change at exactly the signed price."""

import json
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.urls import reverse

from estimating.changes.issue import prepare_change
from estimating.client.options import choices_of
from estimating.client.signing import sums_for
from estimating.documents import write_protection
from estimating.documents.issue import CannotIssue
from estimating.events.chain import canonical, digest
from estimating.models import Document, Estimate, EstimatePhoto, HiddenCondition, Job
from estimating.verification.documents import faults
from tests.estimating.client_visits import floor_with_options, sent, sign, visit
from tests.estimating.issuing import DAY, issue_now
from tests.estimating.signed_kitchen import (
    cabinets_chosen,
    contract,
    issued_change,
    issued_now,
    kitchen_estimate,
    make_change,
    photo,
    shown,
    sign_on_paper,
    signed_change,
    signed_kitchen,
)
from tests.factories import make_estimate, make_firm, make_job, make_painting
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db
ROT = "Rotten subfloor cut out and replaced"
JOIST = "A weak joist sistered: a new one fixed beside it"


@pytest.fixture
def job() -> Job:
    return signed_kitchen()


@pytest.fixture
def estimate() -> Estimate:
    return make_estimate(make_job(), make_firm())


def go(client: Client, name: str, /, *args: object, **typed: Any) -> PageResponse:
    address = reverse(name, args=args)
    return client.post(address, typed) if typed else client.get(address)


def key_of(job: Job, title: str) -> str:
    return next(price.key for price in contract(job).conditions if price.title == title)


# On the estimate


def test_a_suggestion_is_tapped_priced_and_listed(signed_in: Client, estimate: Estimate) -> None:
    form = signed_in.get(reverse("condition-new", args=[estimate.job_id]), {"like": "joist"})
    # an hour at $70.00 with a fifth on top
    assert form.context["form"]["price"].value() == "84.00"
    assert "licensed engineer" in form.context["form"]["caution"].value()
    answer = go(
        signed_in,
        "condition-new",
        estimate.job_id,
        name="A weak joist",
        unit="hour",
        price="80",
        most="8",
        by_receipt="on",
    )
    assert answer["Location"] == reverse("hidden-conditions", args=[estimate.job_id])
    page = go(signed_in, "hidden-conditions", estimate.job_id).content.decode()
    assert "Up to 8 hours, what is bought for it on top" in page


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ({"price": "0"}, "That is nothing"),
        ({"price": "a lot"}, "Type"),
        ({"most": "0"}, "out of range"),
        ({"most": ""}, "Fill this in."),
        ({"least": "65"}, "The least is above the limit"),
        ({"unit": "furlong"}, "Choose one of those offered."),
        ({"name": ""}, "Fill this in."),
    ],
)
def test_a_condition_that_cannot_be_is_refused_at_its_field_and_kept_as_typed(
    signed_in: Client, estimate: Estimate, typed: dict[str, str], words: str
) -> None:
    whole = {
        "name": "Rot",
        "unit": "sq ft",
        "price": "14.00",
        "most": "64",
        "caution": "Careful.",
    }
    answer = go(signed_in, "condition-new", estimate.job_id, **{**whole, **typed})
    assert answer.status_code == 422
    assert words in answer.content.decode()
    assert "Careful." in answer.content.decode()
    assert not HiddenCondition.objects.exists()


def test_an_assembly_gives_the_price_of_one_and_moves_with_the_rates(
    signed_in: Client, estimate: Estimate
) -> None:
    typed = {"assembly": make_painting().pk, "name": "", "usual": "60", "most": "120"}
    assert go(signed_in, "condition-from-catalog", estimate.job_id, **typed).status_code == 302
    row = HiddenCondition.objects.get()
    assert (row.name, row.unit, row.price) == ("floor paint", "sq ft", None)
    # 60 sq ft: a gallon at $40.00 and 0.6 h at $70.00, each with a fifth on top: 98.40; a sq ft 1.64
    assert "$1.64" in go(signed_in, "hidden-conditions", estimate.job_id).content.decode()
    Estimate.objects.filter(pk=estimate.pk).update(labor_rate=Decimal("170.00"))
    # 48.00 and 122.40: 170.40; a sq ft 2.84
    assert "$2.84" in go(signed_in, "hidden-conditions", estimate.job_id).content.decode()


def test_a_condition_of_another_job_is_not_found_under_this_one(
    signed_in: Client, estimate: Estimate
) -> None:
    other = make_estimate(make_job(name="Bath"), make_firm())
    row = other.conditions.create(name="Rot", unit="each", price=Decimal(5), most=Decimal(1))
    for name in ("condition", "condition-remove"):
        assert go(signed_in, name, estimate.job_id, row.pk).status_code == 404
        assert go(signed_in, name, estimate.job_id, row.pk, yes="yes").status_code == 404
    assert HiddenCondition.objects.get() == row


def test_photos_of_what_was_opened_are_on_the_paper_and_what_is_none_is_refused(
    signed_in: Client, estimate: Estimate
) -> None:
    answer = go(
        signed_in,
        "hidden-conditions",
        estimate.job_id,
        opened="A plank at the sink, dry.",
        photos=[photo(), photo(80)],
    )
    assert answer.status_code == 302
    assert EstimatePhoto.objects.count() == 2
    kept = EstimatePhoto.objects.all()[0]
    assert go(signed_in, "estimate-photo", kept.pk)["Content-Type"] == "image/jpeg"
    script = photo()
    script.seek(0)
    script.write(b"<script>alert(1)</script>")
    script.seek(0)
    refused = go(signed_in, "hidden-conditions", estimate.job_id, opened="", photos=[script])
    assert refused.status_code == 422
    assert EstimatePhoto.objects.count() == 2
    go(signed_in, "estimate-photo-remove", kept.pk, yes="yes")
    assert EstimatePhoto.objects.count() == 1


@pytest.mark.parametrize("name", ["hidden-conditions", "condition-new", "condition-from-catalog"])
def test_pages_of_conditions_want_a_sign_in(client: Client, estimate: Estimate, name: str) -> None:
    assert "sign-in" in go(client, name, estimate.job_id)["Location"]


# On the estimate


def test_the_paper_carries_the_list_outside_its_sum_and_keeps_it(job: Job) -> None:
    document = job.documents.get()
    snapshot = document.read_snapshot()
    assert [(row["name"], row["price"], row["most"]) for row in snapshot["if_found"]] == [
        (ROT, "14.00", "64 sq ft"),
        (JOIST, "80.00", "8 hours"),
        ("Drying fan", "30.00", "10 days"),
    ]
    assert snapshot["total"] == "25211.16"
    assert len(snapshot["opened"]) == 2
    HiddenCondition.objects.update(price=Decimal("99.00"))
    assert contract(job).conditions[0].price == Decimal("14.00")


def test_the_client_reads_it_on_his_page_and_its_price_is_not_in_the_sum(signed_in: Client) -> None:
    estimate = floor_with_options()
    estimate.conditions.create(name="Rot", unit="sq ft", price=Decimal("14.00"), most=Decimal(64))
    browser, address = visit(sent(signed_in, issue_now(estimate)))
    read = browser.get(address).content.decode()
    assert "Hidden conditions: unit prices, not in the price" in read
    assert "64 sq ft" in read
    assert sign(browser, address, "196.80").status_code == 302


def test_markup_in_a_condition_stays_text(signed_in: Client, estimate: Estimate) -> None:
    go(
        signed_in,
        "condition-new",
        estimate.job_id,
        name="<script>alert(1)</script>",
        unit="each",
        price="5",
        most="1",
        caution="<b>x</b>",
    )
    page = go(signed_in, "hidden-conditions", estimate.job_id).content.decode()
    assert "<script>alert" not in page
    assert "&lt;script&gt;alert" in page


# On a change


def test_the_story_is_picked_from_the_list_to_the_same_cent(signed_in: Client, job: Job) -> None:
    change = make_change(job, days=2)
    for title, quantity, typed in (
        (ROT, "24", {}),
        (JOIST, "4", {"bought": "26.80"}),
        ("Drying fan", "2", {}),
    ):
        answer = go(signed_in, "change-found", change.pk, key_of(job, title), quantity=quantity, **typed)
        assert answer["Location"] == change.get_absolute_url()
    document = issued_change(change)
    # 24 x 14.00 + 4 x 80.00 + (26.80 + 1.74 tax) with a fifth on top + 2 x 30.00
    assert document.total.amount == Decimal("750.25")
    rows = {row["label"]: (row["rule"], row["price"]) for row in document.read_snapshot()["prices"]}
    assert rows[f"Found: {ROT}"] == (
        "24 sq ft at $14.00 a sq ft, as signed in estimate 1001 for at least 16 sq ft, up to 64 sq ft.",
        "336.00",
    )
    sign_on_paper(document)
    assert contract(job).contract.total == Decimal("25961.41")
    assert contract(job).conditions[0].used == Decimal(24)
    assert list(faults()) == []


def test_what_is_picked_is_described_and_not_only_bought_for(signed_in: Client, job: Job) -> None:
    change = make_change(job, days=2)
    go(signed_in, "change-found", change.pk, key_of(job, JOIST), quantity="4", bought="26.80")
    document = issued_change(change)
    found = document.read_snapshot()["scope"][0]
    assert found["heading"] == "Found, from the list that you signed"
    assert [(work["title"], work["quantity"]) for work in found["work"]] == [(JOIST, "4 hours")]
    said = text_of(document.pdf)
    assert said.index(JOIST) < said.index("Bought for:")
    assert "As described in estimate 1001." in said


def test_a_price_sent_along_is_not_read(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    go(
        signed_in,
        "change-found",
        change.pk,
        key_of(job, ROT),
        quantity="20",
        price="1.00",
        amount="1.00",
        most="999",
        document="1",
    )
    change.lines.update(amount=Decimal("1.00"), title="Cheaper")
    assert issued_change(change).total.amount == Decimal("280.00")


def test_above_the_limit_it_says_what_to_do_and_nothing_is_added(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    answer = go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity="64.5")
    assert answer.status_code == 422
    assert "take at most 64 sq ft here" in answer.content.decode()
    assert 'value="64.5"' in answer.content.decode()
    assert not change.lines.exists()


@pytest.mark.parametrize("typed", ["0", "-3", "", "much", "1e3", "1.005"])
def test_a_quantity_that_is_none_is_refused(signed_in: Client, job: Job, typed: str) -> None:
    change = make_change(job)
    assert (
        go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity=typed or " ").status_code == 422
    )
    assert not change.lines.exists()


def test_a_limit_got_round_behind_the_page_is_not_issued(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity="64")
    change.lines.update(quantity=Decimal(65))
    with pytest.raises(CannotIssue, match="take at most 64 sq ft"):
        prepare_change(change, make_firm(), DAY)


def test_two_changes_together_do_not_go_beyond_the_limit(signed_in: Client, job: Job) -> None:
    first, second = make_change(job), make_change(job, "More rot")
    key = key_of(job, ROT)
    go(signed_in, "change-found", first.pk, key, quantity="40")
    go(signed_in, "change-found", second.pk, key, quantity="30")
    waiting = issued_change(first)
    with pytest.raises(CannotIssue, match="40 sq ft waits for a signature: take at most 24 sq ft"):
        prepare_change(second, make_firm(), DAY)
    sign_on_paper(waiting)
    answer = go(signed_in, "change-found", second.pk, key, quantity="25")
    assert "40 sq ft of it is in signed changes: take at most 24 sq ft" in answer.content.decode()
    go(signed_in, "change-found", second.pk, key, quantity="24")
    assert issued_change(second).total.amount == Decimal("336.00")


def test_picked_twice_it_stands_once_with_the_newer_quantity(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    for quantity in ("20", "24"):
        go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity=quantity)
    assert [line.quantity for line in change.lines.all()] == [Decimal(24)]


def test_less_than_the_least_that_was_signed_counts_as_that(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    page = go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity="10")
    assert page.status_code == 302
    assert (
        "minimum 16 sq ft"
        in signed_in.get(reverse("change-found", args=[change.pk, key_of(job, ROT)])).content.decode()
    )
    # 16 sq ft at 14.00, though 10 were found
    assert issued_change(change).total.amount == Decimal("224.00")
    assert not list(faults())


def test_a_condition_of_another_job_is_not_picked_by_its_id(signed_in: Client, job: Job) -> None:
    change, other = make_change(job), signed_kitchen()
    foreign = key_of(other, ROT)
    assert foreign not in {price.key for price in contract(job).conditions}
    assert go(signed_in, "change-found", change.pk, foreign, quantity="1").status_code == 404
    assert go(signed_in, "change-found", change.pk, "condition-0").status_code == 404
    assert not change.lines.exists()


def test_a_condition_put_on_the_draft_after_the_signing_is_not_on_the_list(
    signed_in: Client, job: Job
) -> None:
    draft = Estimate.objects.filter(job=job, change=None).get()
    late = draft.conditions.create(name="Late", unit="each", price=Decimal(1), most=Decimal(9))
    change = make_change(job)
    assert go(signed_in, "change-found", change.pk, late.key, quantity="1").status_code == 404


def test_the_job_leads_to_a_change_with_its_reason_set(signed_in: Client, job: Job) -> None:
    documents_page = go(signed_in, "job-papers", job.pk).content.decode()
    assert "Found something hidden" in documents_page
    form = signed_in.get(reverse("change-new", args=[job.pk]), {"reason": "hidden"})
    assert form.context["form"]["reason"].value() == "hidden"
    assert ROT in go(signed_in, "change", make_change(job).pk).content.decode()


def tampered(document: Document, **parts: Any) -> None:
    """Write other contents with matching digests, past the guard."""
    values: dict[str, str] = {}
    for name, content in parts.items():
        text = canonical(content)
        values |= {name: text, f"{name}_sha256": digest(text)}
    with write_protection.without_triggers(connection):
        Document.objects.filter(pk=document.pk).update(**values)


def test_a_found_line_that_is_not_the_signed_price_is_named(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity="20")
    document = issued_change(change)
    basis, snapshot = document.read_basis(), document.read_snapshot()
    basis["lines"][0]["price"] = snapshot["prices"][0]["price"] = "290.00"
    tampered(document, basis=basis, snapshot=snapshot)
    assert any("by its signed price it is $280.00" in fault for fault in faults())


def test_a_quantity_above_the_limit_in_a_signed_change_is_named(signed_in: Client, job: Job) -> None:
    change = make_change(job)
    go(signed_in, "change-found", change.pk, key_of(job, ROT), quantity="20")
    document = signed_change(change)
    basis = document.read_basis()
    basis["lines"][0]["quantity"] = "65"
    tampered(document, basis=basis)
    named = " ".join(faults())
    assert "goes beyond the limit that was signed" in named
    assert f"signed changes took more of {ROT} than was signed" in named


def test_a_price_list_other_than_the_printed_one_is_named(job: Job) -> None:
    document = job.documents.get()
    basis = json.loads(document.basis)
    basis["if_found"][0]["price"] = "1.00"
    tampered(document, basis=basis)
    assert any("what may be found" in fault for fault in faults())


# Days to decide


def test_an_allowance_chosen_after_its_day_is_said_on_the_change(signed_in: Client, job: Job) -> None:
    # the cabinets are to be chosen by Fri 4 Dec 2026
    change = cabinets_chosen(job)
    reason = "The day to choose by, Fri 4 Dec 2026, is past."
    assert reason not in shown(issued_change(change, on=date(2026, 12, 4)))
    assert reason in shown(issued_change(change, on=date(2026, 12, 5)))


def test_an_allowance_is_locked_on_the_client_s_page_after_its_day_and_not_on_it(job: Job) -> None:
    snapshot = job.documents.get().read_snapshot()
    on_it, after = (choices_of(snapshot, date(2026, 12, day)) for day in (4, 5))
    assert [option.locked for option in on_it] == [False]
    assert [option.locked for option in after] == [True]


def test_a_signature_after_the_day_of_an_allowance_records_that_it_was_past(job: Job) -> None:
    late = issued_now(kitchen_estimate())
    acceptance = sign_on_paper(late, on=date(2026, 12, 5))
    assert acceptance.read_record()["document"]["late_choices"] == ["Cabinets"]
    in_time = contract(job).estimate.acceptance.read_record()
    assert "late_choices" not in in_time["document"]


def test_the_client_s_page_says_until_when_to_choose(signed_in: Client) -> None:
    estimate = floor_with_options()
    for name, days in (("Sink", 10), ("Tap", -3)):
        estimate.allowances.create(
            name=name, amount=Decimal("100.00"), decide_by=estimate.dated + timedelta(days=days)
        )
    browser, address = visit(sent(signed_in, issue_now(estimate)))
    read = browser.get(address).content.decode()
    assert "<strong>Sink</strong>: choose by" in read
    assert "<strong>Tap</strong>: the day to choose" in read


def option_document() -> Document:
    """A painted floor, signed without its options; “Late choice” was to be decided by 2 Jan 2020."""
    document = issue_now(floor_with_options())
    sign_on_paper(document, on=document.dated)
    return document


def test_an_option_is_taken_later_at_its_signed_price_but_not_after_its_day(signed_in: Client) -> None:
    job = option_document().job
    change = make_change(job, "A further coat after all", reason="client")
    options = {option.title: option.key for option in contract(job).options_left}
    late = go(signed_in, "change-option", change.pk, options["Late choice"], yes="yes")
    assert late.status_code == 409
    assert "its signed price is locked" in late.content.decode()
    assert go(signed_in, "change-option", change.pk, options["A further coat"], yes="yes").status_code == 302
    assert signed_change(change).total.amount == Decimal("196.80")
    again = make_change(job, "Again", reason="client")
    again_page = go(signed_in, "change-option", again.pk, options["A further coat"], yes="yes")
    assert "taken already" in again_page.content.decode()


def test_an_option_locks_the_day_after_its_last(signed_in: Client) -> None:
    estimate = floor_with_options()
    estimate.items.filter(title="A further coat").update(decide_by=estimate.dated)
    document = issue_now(estimate)
    assert sums_for(document, estimate.dated, [0]).total == Decimal("393.60")
    with pytest.raises(ValueError, match="is past"):
        sums_for(document, estimate.dated + timedelta(days=1), [0])
