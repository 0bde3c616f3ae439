"""Hours at best, likely and at worst, typed as the trade states them."""

from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse

from catalog.models import Firm, Operation
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from tests.responses import PageResponse

LABOR = {
    "name": "Roll walls",
    "unit": "sq ft",
    "low_typed": "7 hours per 1000 sq ft",
    "rate_typed": "9 hours per 1000 sq ft",
    "high_typed": "100 sq ft per hour",
    "set_up_hours": "0.25",
    "wait_hours": "4",
    "source": "common practice",
}


def add(client: Client, **typed: str) -> PageResponse:
    return client.post(reverse("operation-new"), LABOR | typed)


def test_three_rates_are_kept_as_typed_and_in_hours(signed_in: Client) -> None:
    add(signed_in)
    labor = Operation.objects.get()
    assert labor.low_typed == "7 hours per 1000 sq ft"
    assert labor.low_hours_per_unit == Fraction(7, 1000)
    assert labor.hours_per_unit == Fraction(9, 1000)
    assert labor.high_typed == "100 sq ft per hour"
    assert labor.high_hours_per_unit == Fraction(1, 100)


def test_low_and_high_may_be_left_out_and_taken_out(signed_in: Client) -> None:
    add(signed_in)
    labor = Operation.objects.get()
    signed_in.post(reverse("operation", args=[labor.pk]), LABOR | {"low_typed": "", "high_typed": ""})
    labor.refresh_from_db()
    assert (labor.low_typed, labor.low_hours_per_unit) == ("", None)
    assert (labor.high_typed, labor.high_hours_per_unit) == ("", None)


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("low_typed", "10 hours per 1000 sq ft", "The low hours are more than the likely ones"),
        ("high_typed", "8 hours per 1000 sq ft", "The high hours are fewer than the likely ones"),
        ("low_typed", "7 hours per 1000 ft", "sq ft"),
        ("high_typed", "many", "says nothing per something"),
    ],
)
def test_hours_out_of_order_or_unreadable_are_refused_at_their_field(
    signed_in: Client, field: str, typed: str, said: str
) -> None:
    answer = add(signed_in, **{field: typed})
    assert answer.status_code == 422
    errors = answer.context["form"].errors
    assert list(errors) == [field]
    assert said in errors[field][0]
    assert f'value="{typed}"' in answer.content.decode()
    assert not Operation.objects.exists()


def test_equal_hours_are_in_order(signed_in: Client) -> None:
    add(signed_in, low_typed=LABOR["rate_typed"], high_typed=LABOR["rate_typed"])
    assert Operation.objects.get().low_hours_per_unit == Fraction(9, 1000)


@pytest.mark.parametrize("field", ["low_typed", "rate_typed", "high_typed"])
def test_each_of_the_three_is_read_back_while_it_is_typed(signed_in: Client, field: str) -> None:
    asked = {field: "9 hours per 1000 sq ft", "unit": "sq ft"}
    assert signed_in.get(reverse("hours-reading"), asked).content == b"100 sq ft takes 0.9 hours."


def test_what_it_closes_and_how_its_hours_lie_are_read_by_the_rules(signed_in: Client) -> None:
    add(signed_in, surface="ceiling", over_days="yes")
    labor = Operation.objects.get()
    spec = CatalogReader(Firm.current()).operations[labor.pk]
    assert (spec.surface, spec.over_days) == ("ceiling", "yes")
    assert (spec.low, spec.high) == (Fraction(7, 1000), Fraction(1, 100))


def test_what_comes_before_an_assembly_is_known_with_other_ways_to_the_same_end(db: None) -> None:
    load()
    reader = CatalogReader(Firm.current())
    after = reader.assembly_by_code("finish-level-4").after
    assert "hang-drywall" in after
    assert "hang-moisture-board" in after
    assert "finish-level-4" not in after
