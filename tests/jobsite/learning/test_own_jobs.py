"""What jobs say about rates, from hours on signed work to the next estimate, and back."""

from datetime import timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.measures.lengths import NM_PER_INCH
from catalog.models import Assembly, Component, Firm, Operation, Package
from catalog.starter.own_jobs import OWN_JOBS
from estimating.estimates.draft import read_draft
from estimating.models import Document, Estimate, Job
from invoicing.models import FinishedWork
from jobsite.learning import read
from jobsite.models import HoursWorked, ReceiptKept, ReceiptLine, SuggestionAnswer
from tests.estimating.issuing import DAY, another_floor, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import add_component, make_assembly, make_material, make_room, put_on

pytestmark = pytest.mark.django_db
ROLL = "roll paint"


def finished(document: Document, hours: str) -> None:
    """Sign a document, enter hours on its first line and tick that as finished."""
    sign_on_paper(document)
    key = document.read_basis()["lines"][0]["key"]
    HoursWorked.objects.create(
        job=document.job, document=document, key=key, on=DAY, hours=Decimal(hours), says="Painted"
    )
    FinishedWork.objects.create(document=document, key=key, finished_on=DAY)


@pytest.fixture
def painted() -> Estimate:
    """Two floors of 120 sq ft, priced at 1.2 hours each and painted in 1.8 and 2.0; a third to be priced."""
    first = painted_floor()
    Operation.objects.update(low_typed="0.7 hours per 100 sq ft", high_typed="1.8 hours per 100 sq ft")
    second, third = another_floor(first), another_floor(first)
    Estimate.objects.update(runs=0)
    finished(issue_now(first), "1.8")
    finished(issue_now(second), "2.0")
    third.refresh_from_db()
    return third


def own_jobs(signed_in: Client) -> Any:
    return signed_in.get(reverse("own-jobs")).context["own"]


def answer(signed_in: Client, name: str, **changed: str) -> str:
    (shown,) = own_jobs(signed_in).open
    posted = {"kind": shown.kind, "code": shown.code, "then": shown.then, **changed}
    return signed_in.post(reverse(name), posted, follow=True).content.decode()


def hours_of(estimate: Estimate) -> Decimal:
    return read_draft(Estimate.objects.get(pk=estimate.pk), Firm.current()).priced.hours


def test_a_suggestion_taken_makes_the_next_estimate_higher_by_exactly_that(
    signed_in: Client, painted: Estimate
) -> None:
    (shown,) = own_jobs(signed_in).open
    assert (shown.jobs, shown.now) == (2, "1 hour per 100 sq ft")
    assert shown.took == "you took 1.58 times the catalog, in 2 jobs, 240 sq ft"
    assert hours_of(painted) == Decimal("1.20")
    issued = {document.pk: bytes(document.pdf) for document in Document.objects.all()}

    answer(signed_in, "suggestion-take")
    operation = Operation.objects.get(name=ROLL)
    assert operation.rate_typed == shown.then
    rate = Decimal(shown.then.split()[0])
    assert Decimal("1.05") < rate < Decimal("1.58")
    assert hours_of(painted) == (rate * Decimal("1.2")).quantize(Decimal("0.01"))
    assert operation.source.startswith(f"{OWN_JOBS}{shown.then}, from 2 jobs (240 sq ft)")
    assert {document.pk: bytes(document.pdf) for document in Document.objects.all()} == issued
    assert own_jobs(signed_in).open == ()  # held against the catalog's own rate, not against what it gave

    (taken,) = own_jobs(signed_in).taken
    signed_in.post(reverse("suggestion-put-back", args=[taken.pk]))
    operation.refresh_from_db()
    assert (operation.rate_typed, operation.source) == ("1 hour per 100 sq ft", "common practice")
    assert operation.low_typed == "0.7 hours per 100 sq ft"
    assert hours_of(painted) == Decimal("1.20")


def test_what_he_did_long_ago_says_nothing_of_how_he_works_now(
    signed_in: Client, painted: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(read, "LAST", 1)
    (shown,) = own_jobs(signed_in).open
    assert shown.took == "you took 1.67 times the catalog, in 1 job, 120 sq ft"  # 2.0 of 1.2 hours


def test_a_further_job_moves_a_rate_that_was_taken_from_the_same_prior(
    signed_in: Client, painted: Estimate
) -> None:
    answer(signed_in, "suggestion-take")
    first = Operation.objects.get().hours_per_unit
    finished(issue_now(painted), "2.4")  # priced at the rate taken, and slower than that
    (shown,) = own_jobs(signed_in).open
    assert (shown.jobs, shown.took) == (3, "you took 1.68 times the catalog, in 3 jobs, 360 sq ft")
    answer(signed_in, "suggestion-take")
    assert Operation.objects.get().hours_per_unit > first
    (taken,) = own_jobs(signed_in).taken
    signed_in.post(reverse("suggestion-put-back", args=[taken.pk]))
    assert Operation.objects.get().hours_per_unit == first


def test_what_is_set_aside_comes_again_with_the_next_job(signed_in: Client, painted: Estimate) -> None:
    answer(signed_in, "suggestion-set-aside")
    own = own_jobs(signed_in)
    assert (own.open, len(own.set_aside)) == ((), 1)
    assert Operation.objects.get().rate_typed == "1 hour per 100 sq ft"
    finished(issue_now(painted), "2.0")
    assert len(own_jobs(signed_in).open) == 1


def test_what_changed_since_the_page_was_made_is_not_taken(signed_in: Client, painted: Estimate) -> None:
    assert "changed since this page was made" in answer(signed_in, "suggestion-take", then="9 hours each")
    assert "changed since this page was made" in answer(signed_in, "suggestion-take", code="gone")
    assert not SuggestionAnswer.objects.exists()


def test_what_was_changed_by_hand_is_not_put_back(signed_in: Client, painted: Estimate) -> None:
    answer(signed_in, "suggestion-take")
    Operation.objects.update(rate_typed="2 hours per 100 sq ft", hours_per_unit="1/50")
    address = reverse("suggestion-put-back", args=[SuggestionAnswer.objects.get().pk])
    assert "nothing is put back" in signed_in.post(address, follow=True).content.decode()
    assert Operation.objects.get().rate_typed == "2 hours per 100 sq ft"


@pytest.mark.parametrize(
    ("laid", "on_hand"),
    [(True, "0"), (False, "0"), (False, "10")],
    ids=["as laid", "by area", "some on hand"],
)
def test_tile_bought_as_it_is_laid_or_beside_stock_says_nothing_of_waste_by_area(
    signed_in: Client, painted: Estimate, laid: bool, on_hand: str
) -> None:
    tile = make_material("tile", "sq ft", "10", "40.00")
    if laid:
        tile.sheet_length_nm = tile.sheet_width_nm = 12 * NM_PER_INCH
        tile.save()
    assembly = make_assembly("tile floor")
    add_component(assembly, tile, "1 sq ft per sq ft", waste_percent=Decimal(10))
    tiled = another_floor(painted)
    put_on(tiled, assembly, make_room(tiled.job))
    if on_hand != "0":
        tiled.on_hand = {tile.code: {"typed": on_hand, "amount": on_hand}}
        tiled.save()
    document = issue_now(tiled)
    sign_on_paper(document)
    (kept,) = [row for row in document.read_basis()["materials"] if row["code"] == tile.code]
    assert kept.get("laid", False) is laid
    receipt = ReceiptKept.objects.create(job=tiled.job, on=DAY, cost=Decimal(800), says="Tile")
    ReceiptLine.objects.create(
        receipt=receipt, package=tile.packages.get(), quantity=Decimal(20), amount=Decimal(800)
    )
    Job.objects.filter(pk=tiled.job_id).update(closed=True)
    assert ("waste" in {one.kind for one in own_jobs(signed_in).open}) is (not laid and on_hand == "0")


def test_waste_and_supply_runs_are_learned_from_closed_jobs(signed_in: Client, painted: Estimate) -> None:
    package = Package.objects.get()
    Firm.objects.update(run_hours=Decimal(1))
    for job in Job.objects.exclude(pk=painted.job_id):
        receipt = ReceiptKept.objects.create(job=job, on=DAY, cost=Decimal(120), says="Paint")
        ReceiptLine.objects.create(receipt=receipt, package=package, quantity=Decimal(3), amount=Decimal(120))
        HoursWorked.objects.create(job=job, on=DAY, for_job="travel", hours=Decimal("2.5"))
    assert len(own_jobs(signed_in).open) == 1  # nothing of jobs that are still open
    Job.objects.update(closed=True)
    found = {one.kind: one for one in own_jobs(signed_in).open}
    assert found["run"].took == "yours took 2.50 times what you price, in 2 jobs"
    assert found["waste"].took == "you bought 1.50 times what was asked for, in 2 jobs"
    for one in (found["run"], found["waste"]):
        signed_in.post(reverse("suggestion-take"), {"kind": one.kind, "code": one.code, "then": one.then})
    component = Component.objects.get(material__isnull=False)
    assert Firm.current().run_hours == Decimal(found["run"].then.split()[0]) > 1
    assert component.waste_percent == Decimal(found["waste"].then.rstrip("%")) > 0
    assert component.source.startswith(OWN_JOBS)
    assert {one.kind for one in own_jobs(signed_in).open} == {"rate"}
    for taken in own_jobs(signed_in).taken:
        signed_in.post(reverse("suggestion-put-back", args=[taken.pk]))
    component.refresh_from_db()
    assert (Firm.current().run_hours, component.waste_percent, component.source) == (1, 0, "")


def test_the_number_of_queries_stays_with_more_rates_and_rows(
    signed_in: Client, painted: Estimate, django_assert_max_num_queries: Any
) -> None:
    Job.objects.update(closed=True)
    job = Job.objects.exclude(pk=painted.job_id)[0]

    def keep_more(days: range) -> None:
        for day in days:
            receipt = ReceiptKept.objects.create(
                job=job, on=DAY - timedelta(days=day), cost=Decimal(40), says="Paint"
            )
            ReceiptLine.objects.create(receipt=receipt, package=Package.objects.get(), amount=Decimal(40))
            HoursWorked.objects.create(job=job, on=DAY, for_job="travel", hours=Decimal("0.5"))

    keep_more(range(1))
    with django_assert_max_num_queries(20) as before:
        own_jobs(signed_in)
    keep_more(range(1, 20))
    put_on(painted, Assembly.objects.get(), make_room(painted.job), title="Another")
    finished(issue_now(painted), "2.0")
    with django_assert_max_num_queries(len(before)):
        own_jobs(signed_in)


def test_a_site_without_hours_says_what_to_do(signed_in: Client) -> None:
    assert "Enter hours on the work of a signed job" in signed_in.get(reverse("own-jobs")).content.decode()
