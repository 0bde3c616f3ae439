"""What is worth a look before an estimate is issued."""

from datetime import timedelta
from decimal import Decimal
from fractions import Fraction

import pytest
from django.db import transaction
from django.test import Client as Browser
from django.urls import reverse
from django.utils import timezone

from catalog.measures.lengths import NM_PER_INCH as IN
from catalog.models import Assembly, Companion, Firm, Operation, Package
from catalog.money.markup import Markup
from catalog.starter import published_hours
from estimating.estimates.draft import read_draft
from estimating.estimates.proposed import propose_amounts
from estimating.estimates.review import review_notes
from estimating.models import Document, Estimate
from tests.estimating.issuing import DAY, floor_dated
from tests.factories import add_component, make_assembly, make_opening, make_operation, make_room, put_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def estimate() -> Estimate:
    return floor_dated(DAY)


def notes(estimate: Estimate, days_later: int = 0) -> str:
    firm = Firm.current()
    today = DAY + timedelta(days=days_later)
    return " ".join(note.words for note in review_notes(estimate, read_draft(estimate, firm), firm, today))


def _add_companion(estimate: Estimate, companion: Assembly) -> None:
    """Have the catalog say that the work of the estimate needs a companion."""
    assembly = estimate.items.get().assembly
    assert assembly is not None
    Companion.objects.create(assembly=assembly, companion=companion)


def test_an_estimate_with_nothing_amiss_is_issued_without_a_reminder(estimate: Estimate) -> None:
    assert notes(estimate) == ""


def test_what_the_work_usually_needs_is_named_until_it_is_put_in_or_set_aside(estimate: Estimate) -> None:
    masking = make_assembly("mask the floor")
    _add_companion(estimate, masking)
    assert "neither in the estimate nor marked “Not in this job”" in notes(estimate)
    assert "mask the floor" in notes(estimate)
    estimate.asides.create(assembly=masking)
    assert notes(estimate) == ""


def test_an_amount_that_was_only_proposed_is_named_until_it_is_typed(estimate: Estimate) -> None:
    item = put_on(estimate, make_assembly("dust-barrier", "each"), make_opening(make_room(estimate.job)).room)
    with transaction.atomic():
        propose_amounts(estimate, Firm.current())
    assert item.overrides.get().typed == "1"
    assert notes(estimate) == f"How much there is was proposed, and not counted by you, of: {item.title}."
    item.overrides.update(reason="")
    assert notes(estimate) == ""


def test_labor_priced_at_nothing_is_said(estimate: Estimate) -> None:
    estimate.labor_rate = Decimal(0)
    estimate.save()
    assert notes(estimate) == "Labor is priced at nothing: 1.20 hours at $0.00."


def test_a_price_below_cost_is_said_with_what_it_loses(estimate: Estimate) -> None:
    estimate.labor_markup = Markup(Decimal(-50))
    estimate.save()
    # 1.2 h at $70.00 lose 42.00, 20 % on $80.00 of material give 16.00 back
    assert notes(estimate) == "The price is $26.00 below what the work costs you."


def test_a_day_to_choose_by_before_the_estimates_own_is_named(estimate: Estimate) -> None:
    row = estimate.allowances.create(name="Faucet", amount="250.00", phase="set", decide_by=DAY)
    assert notes(estimate) == ""
    row.decide_by = DAY - timedelta(days=1)
    row.save()
    assert (
        "Before the estimate's own date, Tue 24 Nov 2026: Faucet, to be chosen by Mon 23 Nov 2026."
        in notes(estimate)
    )


def test_a_price_older_than_the_firm_trusts_is_named(estimate: Estimate) -> None:
    days = Firm.current().stale_after_days
    name = Package.objects.get().material.name
    assert notes(estimate, days) == ""
    assert notes(estimate, days + 1) == (
        f"$80.00 of what is bought (100%) is at a price that wasn't asked for in {days} days: {name}."
    )


def test_a_price_that_came_invented_is_named_until_it_is_the_firms_own(estimate: Estimate) -> None:
    package = Package.objects.get()
    package.shipped = {"price": "40", "priced_on": DAY.isoformat()}
    package.save()
    assert notes(estimate) == (
        "$80.00 of what is bought (100%) is still at the invented price that came with the catalog: "
        f"{package.material.name}."
    )
    package.price = "41.00"
    package.save()
    assert notes(estimate) == ""


def test_a_price_moved_by_an_index_is_named_as_an_estimate_with_its_share(estimate: Estimate) -> None:
    Package.objects.update(estimated_by="WPU0621: 300 in Nov 2025, 330 in Oct 2026")
    name = Package.objects.get().material.name
    assert notes(estimate, 1000) == (
        f"$80.00 of what is bought (100%) is estimated, moved by an index: {name}."
    )


def test_the_question_shows_it_and_issues_all_the_same(signed_in: Browser, estimate: Estimate) -> None:
    estimate.dated = timezone.localdate()  # the page answers by today
    estimate.save()
    _add_companion(estimate, make_assembly("mask the floor"))
    address = reverse("document-issue", args=[estimate.job_id])
    question = signed_in.get(address)
    assert "mask the floor" in question.content.decode()
    today = timezone.localdate().isoformat()
    typed = {"key": question.context["unissued"].key, "dated": today, "asked": today}
    signed_in.post(address, typed)
    assert Document.objects.count() == 1


def test_hours_that_came_as_guesses_are_named_with_their_share(
    estimate: Estimate, monkeypatch: pytest.MonkeyPatch
) -> None:
    operation = Operation.objects.get()
    operation.code, operation.source = "final-tidy", "invented for the demo"
    operation.save()
    shipped = {"final-tidy": (Fraction(1, 100), operation.source)}
    monkeypatch.setattr(published_hours, "_shipped_hours", lambda: shipped)
    assert notes(estimate) == (
        "1.20 hours of the work are guesses that came with the catalog. "
        "What the hours rest on: guesses 1.20 h (100%)."
    )
    operation.source = "Your own jobs: 1 hour per 100 sq ft, 4 jobs"
    operation.save()
    assert notes(estimate) == ""


def _floor_that_rots() -> Assembly:
    """A sq ft of it takes a quarter of an hour: $17.50, at 20 % $21.00."""
    assembly = make_assembly("replace-subfloor", "area")
    add_component(assembly, make_operation("mend a floor", "0.25 hours per sq ft"))
    return assembly


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (
            "14.00",
            "is less than it costs you: for 16 sq ft the catalog makes it $17.50 of cost and $21.00 of",
        ),
        ("20.00", "is less than your catalog prices it at: for 16 sq ft"),
        ("21.00", ""),
    ],
)
def test_a_hidden_condition_priced_below_what_the_catalog_makes_of_it_is_named(
    estimate: Estimate, typed: str, said: str
) -> None:
    _floor_that_rots()
    estimate.conditions.create(
        name="Rotten subfloor cut out and replaced", unit="sq ft", price=typed, least=16, most=64
    )
    assert said in notes(estimate)
    assert ("Hidden conditions" in notes(estimate)) is bool(said)


def test_an_hour_sold_in_advance_below_its_cost_is_named(estimate: Estimate) -> None:
    row = estimate.conditions.create(name="Old wiring", unit="hour", price="69.00", most=8)
    assert "Old wiring at $69.00 an hour, where an hour costs you $70.00" in notes(estimate)
    row.price = Decimal("70.00")
    row.save()
    assert notes(estimate) == ""


def test_a_hidden_condition_that_the_catalog_does_not_know_is_left_alone(estimate: Estimate) -> None:
    estimate.conditions.create(name="A nest of wasps", unit="each", price="1.00", most=1)
    assert notes(estimate) == ""


def test_a_line_priced_by_hand_below_its_cost_is_named(estimate: Estimate) -> None:
    estimate.items.update(price_by_hand=Decimal("100.00"))
    # 1.2 h at $70.00 and $80.00 of paint
    assert "Priced by hand below what it costs you: Paint the floor, $100.00 against $164.00." in notes(
        estimate
    )


def test_joists_that_dont_carry_the_tile_laid_on_them_are_named(estimate: Estimate) -> None:
    item = estimate.items.get()
    item.phase = "floor"
    item.save()
    room = item.rooms.get()
    joists = {"size": "2x8", "spacing_nm": 16 * IN, "span_nm": 180 * IN, "species": "spf", "grade": "2"}
    room.joists = joists
    room.save()
    assert f"{room.name}: This floor isn't stiff enough: it gives L/" in notes(estimate)
    room.joists = joists | {"span_nm": 96 * IN}
    room.save()
    assert notes(estimate) == ""
    room.joists = joists
    room.save()
    item.phase = "finish"  # nothing is laid on it
    item.save()
    assert notes(estimate) == ""
