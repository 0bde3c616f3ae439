"""The range of the hours on the Price page, and the contingency that keeps a margin."""

from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Assembly, Firm, Operation
from estimating.models import Estimate, Job
from tests.factories import make_estimate, make_job, make_painting, make_room, put_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def estimate() -> Estimate:
    """A floor of 120 sq ft painted in 1.2 hours; with no trips and no markup, $164.00."""
    job = make_job()
    estimate = make_estimate(job)
    Estimate.objects.update(
        labor_markup="0 markup", material_markup="0 markup", runs=0, labor_rate=Decimal("70.00")
    )
    put_on(estimate, make_painting(), make_room(job))
    estimate.refresh_from_db()
    return estimate


def page(signed_in: Client, job: Job, **query: str) -> str:
    return signed_in.get(reverse("job-price", args=[job.pk]), query).content.decode()


def test_the_page_shows_what_the_hours_leave_and_what_drives_them(
    signed_in: Client, estimate: Estimate
) -> None:
    Operation.objects.update(low_hours_per_unit="1/200", high_hours_per_unit="3/100")
    put_on(estimate, Assembly.objects.get(), make_room(estimate.job), title="Second coat")
    shown = page(signed_in, estimate.job)
    assert "Four times out of five" in shown
    assert "0.6 h at best, 1.2 likely, 3.6 at worst" in shown
    assert "Second coat" in shown


def test_the_contingency_that_keeps_a_margin_is_shown_and_taken(
    signed_in: Client, estimate: Estimate
) -> None:
    job = estimate.job
    assert "A contingency of" in page(signed_in, job, keep="20")
    assert signed_in.post(reverse("margin-keep", args=[job.pk]), {"keep": "20"}).status_code == 302
    estimate.refresh_from_db()
    assert estimate.contingency_percent > 20
    assert "is just the one that keeps 20%" in page(signed_in, job, keep="20")


def test_a_contingency_of_the_cost_that_keeps_a_margin_says_so(signed_in: Client, estimate: Estimate) -> None:
    job = estimate.job
    Estimate.objects.update(contingency_of="cost")
    assert "% of your cost does it" in page(signed_in, job, keep="20")
    answer = signed_in.post(reverse("margin-keep", args=[job.pk]), {"keep": "20"}, follow=True)
    assert "% of your cost now." in answer.content.decode()
    assert "is just the one that keeps 20%" in page(signed_in, job, keep="20")


def test_what_the_hours_leave_is_folded_until_it_answers(signed_in: Client, estimate: Estimate) -> None:
    folded, answered = '<details class="more" id="range-more">', '<details class="more" id="range-more" open>'
    assert folded in page(signed_in, estimate.job)
    assert answered in page(signed_in, estimate.job, keep="20")
    assert answered in page(signed_in, estimate.job, keep="x")


@pytest.mark.parametrize(
    ("keep", "says"), [("96", "out of range"), ("x", "isn’t a number"), ("", "Fill this in.")]
)
def test_a_margin_that_cannot_be_kept_is_refused_in_a_sentence(
    signed_in: Client, estimate: Estimate, keep: str, says: str
) -> None:
    assert says.replace("’", "&#x27;") in page(signed_in, estimate.job, keep=keep)
    answer = signed_in.post(reverse("margin-keep", args=[estimate.job_id]), {"keep": keep}, follow=True)
    assert says.replace("’", "&#x27;") in answer.content.decode()


def test_a_margin_out_of_reach_leaves_the_contingency(signed_in: Client, estimate: Estimate) -> None:
    assert "No contingency up to 100% keeps 90%" in page(signed_in, estimate.job, keep="90")
    signed_in.post(reverse("margin-keep", args=[estimate.job_id]), {"keep": "90"})
    estimate.refresh_from_db()
    assert estimate.contingency_percent == 0


def test_how_far_hours_run_over_together_is_his_to_say(signed_in: Client, estimate: Estimate) -> None:
    address = reverse("hours-together", args=[estimate.job_id])
    assert signed_in.post(address, {"hours_together_percent": "55"}).status_code == 302
    assert Firm.current().hours_together_percent == 55
    refused = signed_in.post(address, {"hours_together_percent": "101"})
    assert (refused.status_code, Firm.current().hours_together_percent) == (422, 55)
    assert "out of range" in refused.content.decode()


def test_a_job_without_hours_has_no_range(signed_in: Client) -> None:
    assert "How sure the hours are" not in page(signed_in, make_estimate(make_job()).job)
