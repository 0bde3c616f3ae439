"""The Price place of a job, as it is used."""

from decimal import Decimal
from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.models import Allowance, Estimate, Job
from estimating.snapshots.price_basis import estimate_basis
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_painting,
    make_room,
    put_on,
)
from tests.saving.site import forms_on

pytestmark = pytest.mark.django_db


@pytest.fixture
def job() -> Job:
    return make_job()


@pytest.fixture
def estimate(job: Job) -> Estimate:
    estimate = make_estimate(job)
    put_on(estimate, make_painting(), make_room(job))
    return estimate


def _fields(**typed: str) -> dict[str, str]:
    return {
        "labor_rate": "70.00",
        "labor_markup": "12.5 margin",
        "material_markup": "20",
        "equipment_markup": "20",
        "subcontract_markup": "10",
        "contingency_percent": "0",
        "contingency_of": "price",
        "minimum_charge": "0",
        "hours_per_day": "7",
        "runs": "0",
        "run_hours": "2",
        "days_per_run": "5",
        "visit_hours": "1",
        "detail": "line",
        "scope_by": "work",
        "valid_days": "30",
        "tax_policy": "none",
        "tax_percent": "0",
        "signing_place": "home",
        **typed,
    }


def _post(signed_in: Client, job: Job, **typed: Any) -> tuple[int, str]:
    return _send(signed_in, job, typed, headers={})


def _post_live(signed_in: Client, job: Job, **typed: Any) -> tuple[int, str]:
    """Post as the page itself does while somebody types."""
    return _send(signed_in, job, typed, headers={"HX-Request": "true"})


def _send(signed_in: Client, job: Job, typed: dict[str, Any], headers: dict[str, str]) -> tuple[int, str]:
    answer = signed_in.post(reverse("job-price", args=[job.pk]), _fields(**typed), headers=headers)
    return answer.status_code, answer.content.decode()


def test_the_page_shows_price_cost_hours_days_and_margin(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    page = _post_live(signed_in, job)[1]
    # 2 gal at $40.00 with 20 %; 1.2 h at $80.00
    for figure in ("$192.00", "$164.00", "$28.00", "14.6%", "1.20", "$1.60"):
        assert figure in page


def test_a_price_by_the_floor_counts_the_rooms_that_are_worked_in(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    make_room(job, "20'", "20'", name="Untouched")
    page = _post_live(signed_in, job)[1]
    assert "A square foot of the floor worked on" in page
    assert "$1.60" in page  # 192.00 over the 120 sq ft that are painted


def test_a_metric_firm_reads_the_price_by_the_square_meter(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    make_firm(units="metric")
    page = _post_live(signed_in, job)[1]
    assert "A square meter of the floor worked on" in page
    assert "$17.22" in page  # 192.00 over 11.148 m2


@pytest.mark.parametrize(
    ("of", "said", "total"),
    [
        ("price", "Contingency: 10% of the price of the work, $192.00, is $19.20.", "$211.20"),
        (
            "cost",
            "10% of what the work costs you before markup, $164.00, is $16.40, with no markup on it.",
            "$208.40",
        ),
    ],
)
def test_a_contingency_says_what_it_is_a_share_of(
    signed_in: Client, job: Job, estimate: Estimate, of: str, said: str, total: str
) -> None:
    page = _post_live(signed_in, job, contingency_percent="10", contingency_of=of)[1]
    assert said in page
    assert total in page
    estimate.refresh_from_db()
    basis = estimate_basis(read_draft(estimate, Firm.current()))
    assert (basis["policy"]["contingency"], basis["policy"]["contingency_of"]) == ("1/10", of)


def test_a_contingency_is_of_the_price_until_he_says_otherwise(job: Job, estimate: Estimate) -> None:
    assert (Firm.current().contingency_of, estimate.contingency_of) == ("price", "price")


def test_what_is_on_hand_is_said_in_its_own_unit_and_taken_off_what_is_bought(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    _post(signed_in, job)
    address = reverse("on-hand", args=[job.pk])
    assert "2 gal required" in signed_in.get(address).content.decode()
    assert signed_in.post(address, {"on-paint": "4 quarts"}).status_code == 302
    estimate.refresh_from_db()
    assert estimate.stock() == {"paint": 1}
    page = signed_in.get(reverse("job-price", args=[job.pk])).content.decode()
    assert "1 gal on hand, $40.00" in page
    assert "$192.00" in page  # as before: what is used costs the same, wherever it comes from
    assert 'value="4 quarts"' in signed_in.get(address).content.decode()
    (material,) = estimate_basis(read_draft(estimate, Firm.current()))["materials"]
    assert (material["on_hand"], material["cost"]) == ({"amount": "1", "cost": "40.00"}, "40.00")
    assert [package["count"] for package in material["packages"]] == [1]
    signed_in.post(address, {"on-paint": ""})
    estimate.refresh_from_db()
    assert estimate.on_hand == {}


def test_what_is_on_hand_is_kept_while_no_work_takes_it(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    Estimate.objects.update(on_hand={"felt": {"typed": "2", "amount": "2"}})
    signed_in.post(reverse("on-hand", args=[job.pk]), {"on-paint": "1"})
    estimate.refresh_from_db()
    assert estimate.stock() == {"felt": 2, "paint": 1}


@pytest.mark.parametrize("typed", ["some", "-1", "3 sheets", "2 sq ft"])
def test_an_amount_on_hand_that_cannot_be_read_is_said_at_its_field(
    signed_in: Client, job: Job, estimate: Estimate, typed: str
) -> None:
    answer = signed_in.post(reverse("on-hand", args=[job.pk]), {"on-paint": typed})
    assert answer.status_code == 422
    assert 'href="#id_on-paint"' in answer.content.decode()
    estimate.refresh_from_db()
    assert estimate.on_hand == {}


def test_two_who_say_what_is_on_hand_both_keep_theirs(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    felt = make_assembly("felt")
    add_component(felt, make_material("felt", unit="sq ft", size="100"), "1 sq ft per sq ft")
    put_on(estimate, felt, estimate.job.rooms.get())
    address = reverse("on-hand", args=[job.pk])
    pages = [
        next(form for form in forms_on(address, signed_in.get(address).content) if form.action == address)
        for _ in range(2)
    ]
    for form, typed in zip(pages, ({"on-paint": ["1"]}, {"on-felt": ["50"]}), strict=True):
        assert signed_in.post(address, form.sent | typed).status_code == 302
    estimate.refresh_from_db()
    assert estimate.stock() == {"paint": 1, "felt": 50}


def test_a_margin_typed_is_kept_as_a_margin(signed_in: Client, job: Job, estimate: Estimate) -> None:
    _post(signed_in, job)
    estimate.refresh_from_db()
    assert (estimate.labor_markup.percent, estimate.labor_markup.typed_as) == (Decimal("12.5"), "margin")


def test_a_changed_rate_is_saved_and_the_new_price_comes_back(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    status, fragment = _post_live(signed_in, job, labor_rate="140.00")
    assert (status, "$288.00" in fragment, "<html" in fragment) == (200, True, False)


def test_a_rate_typed_twice_without_its_cents_is_no_conflict(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    address = reverse("job-price", args=[job.pk])
    page = signed_in.get(address)
    form = next(form for form in forms_on(address, page.content) if form.action == address)
    for rate in ("81", "71"):  # kept as 81.00: the same as he typed before he typed 71
        typed = form.sent | {"labor_rate": [rate]}
        assert signed_in.post(address, typed, headers={"HX-Request": "true"}).status_code == 200
    estimate.refresh_from_db()
    assert estimate.labor_rate.amount == 71


@pytest.mark.parametrize(
    ("field", "typed"),
    [
        ("material_markup", "-100"),
        ("labor_markup", "100 margin"),
        ("labor_rate", "70.005"),
        ("labor_rate", "-1"),
        ("hours_per_day", "0"),
        ("days_per_run", "0"),
        ("tax_percent", "nan"),
        ("contingency_percent", "101"),
    ],
)
def test_a_rate_that_cannot_be_is_said_at_its_field_and_nothing_is_saved(
    signed_in: Client, job: Job, estimate: Estimate, field: str, typed: str
) -> None:
    before = Estimate.objects.values().get()
    status, page = _post(signed_in, job, **{"contingency_percent": "5", **{field: typed}})
    assert status == 422
    assert f'href="#id_{field}"' in page
    assert f'value="{typed}"' in page
    assert Estimate.objects.values().get() == before


def test_the_sales_tax_of_the_job_can_be_changed_here(
    signed_in: Client, job: Job, estimate: Estimate
) -> None:
    page = _post_live(signed_in, job, tax_policy="everything", tax_percent="6.5")[1]
    assert "$12.48" in page
    assert "$204.48" in page


def test_an_allowance_is_added_changed_and_taken_off(signed_in: Client, job: Job, estimate: Estimate) -> None:
    typed = {"name": "Vanity", "amount": "$780", "basis": "price", "phase": "set"}
    signed_in.post(reverse("allowance-new", args=[job.pk]), typed)
    allowance = Allowance.objects.get()
    assert allowance.amount.amount == Decimal("780.00")
    signed_in.post(reverse("allowance", args=[job.pk, allowance.pk]), {**typed, "amount": "800"})
    assert Allowance.objects.get().amount.amount == Decimal("800.00")
    signed_in.post(reverse("allowance-remove", args=[job.pk, allowance.pk]))
    assert not Allowance.objects.exists()


def test_an_allowance_of_nothing_is_refused(signed_in: Client, job: Job, estimate: Estimate) -> None:
    typed = {"name": "Vanity", "amount": "0", "basis": "price", "phase": "set"}
    answer = signed_in.post(reverse("allowance-new", args=[job.pk]), typed)
    assert answer.status_code == 422
    assert "more than nothing" in answer.content.decode()


def test_words_beside_the_prices_are_kept(signed_in: Client, job: Job, estimate: Estimate) -> None:
    signed_in.post(
        reverse("job-words", args=[job.pk]),
        {"exclusions": "Countertop\nAppliances", "assumptions": "", "left_as_is": "", "terms": ""},
    )
    estimate.refresh_from_db()
    assert estimate.exclusions.splitlines() == ["Countertop", "Appliances"]


def test_a_draft_is_begun_with_the_firms_rates(signed_in: Client, job: Job) -> None:
    signed_in.get(reverse("job-price", args=[job.pk]))
    assert Estimate.objects.get(job=job).material_markup.percent == 20
