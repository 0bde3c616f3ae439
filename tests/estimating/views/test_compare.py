"""The page that puts two assemblies side by side."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.models import Assembly
from tests.factories import (
    add_component,
    make_assembly,
    make_estimate,
    make_firm,
    make_job,
    make_material,
    make_operation,
    make_painting,
    make_room,
    put_on,
)
from tests.responses import PageResponse


def ask(client: Client, **typed: Any) -> PageResponse:
    return client.get(reverse("compare"), {"first": "", "second": "", "room": "", "amount": ""} | typed)


@pytest.fixture
def stain(db: None) -> Assembly:
    """A stained floor: 1 gal for 120 sq ft, 2 hours for 100 sq ft."""
    assembly = make_assembly("floor stain")
    add_component(assembly, make_material("stain", price="55.00"), "120 sq ft per gal")
    add_component(assembly, make_operation("rub stain", "2 hours per 100 sq ft"))
    return assembly


def refused(answer: PageResponse, field: str) -> str:
    assert answer.status_code == 422
    return str(answer.context["form"].errors[field][0])


def test_the_page_opens_with_what_is_to_be_chosen(signed_in: Client, stain: Assembly) -> None:
    answer = signed_in.get(reverse("compare"), {"first": stain.pk})
    assert answer.status_code == 200
    assert f'<option value="{stain.pk}" selected>' in answer.content.decode()
    assert "error-summary" not in answer.content.decode()


def test_two_assemblies_are_compared_in_a_measured_room(signed_in: Client, stain: Assembly) -> None:
    make_firm()
    room = make_room(make_job())
    page = ask(signed_in, first=make_painting().pk, second=stain.pk, room=room.pk).content.decode()
    # 120 sq ft: 1.2 h and 2 gal at $40.00; 2.4 h and 1 gal at $55.00; $70.00 an hour, 20 % on all
    for figure in ("$164.00", "$223.00", "$59.00 more", "$196.80", "$267.60", "$70.80 more", "1.2 h more"):
        assert figure in page


def test_the_rates_are_those_of_the_jobs_estimate(signed_in: Client, stain: Assembly) -> None:
    job = make_job()
    room, estimate = make_room(job), make_estimate(job)
    estimate.labor_rate = 100
    estimate.save()
    page = ask(signed_in, first=make_painting().pk, second=stain.pk, room=room.pk).content.decode()
    assert "$200.00" in page  # 1.2 h at $100.00 and $80.00 of paint


def test_looking_begins_no_estimate(signed_in: Client, stain: Assembly) -> None:
    job = make_job()
    ask(signed_in, first=make_painting().pk, second=stain.pk, room=make_room(job).pk)
    assert not job.estimates.exists()


def test_two_assemblies_are_compared_for_a_typed_area(signed_in: Client, stain: Assembly) -> None:
    make_firm()
    page = ask(signed_in, first=make_painting().pk, second=stain.pk, amount="240 sq ft").content.decode()
    assert "2.4 h more" in page
    assert "square room" in page


def test_an_assembly_is_not_compared_with_itself(signed_in: Client, stain: Assembly) -> None:
    answer = ask(signed_in, first=stain.pk, second=stain.pk, amount="10")
    assert "choose another" in refused(answer, "second")


def test_a_room_or_an_amount_is_asked_for(signed_in: Client, stain: Assembly) -> None:
    answer = ask(signed_in, first=make_painting().pk, second=stain.pk)
    assert refused(answer, "room") == "Choose a room, or type how much of each."


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ("a lot", "isn&#x27;t a number"),
        ("0", "more than 0"),
        ("20 gal", "doesn&#x27;t fit here"),
        ("-5", "out of range"),
    ],
)
def test_an_amount_that_is_none_is_refused_and_kept(
    signed_in: Client, stain: Assembly, amount: str, words: str
) -> None:
    answer = ask(signed_in, first=make_painting().pk, second=stain.pk, amount=amount)
    assert answer.status_code == 422
    page = answer.content.decode()
    assert words in page
    assert f'value="{amount}"' in page


def test_no_amount_fits_what_is_counted_otherwise(signed_in: Client, stain: Assembly) -> None:
    base = make_assembly("base", "base")
    assert "choose a room" in refused(ask(signed_in, first=base.pk, second=stain.pk, amount="10"), "amount")


@pytest.mark.parametrize("field", ["first", "second", "room"])
def test_what_is_not_there_is_refused(signed_in: Client, stain: Assembly, field: str) -> None:
    chosen = {"first": make_painting().pk, "second": stain.pk, "room": "", "amount": "10"}
    answer = ask(signed_in, **chosen | {field: "99999"})
    assert refused(answer, field) == "Choose one of those offered."


def test_a_retired_assembly_is_not_offered(signed_in: Client, stain: Assembly) -> None:
    old = make_assembly("old stain", retired=True)
    assert old.name not in ask(signed_in).content.decode()


def test_a_work_item_leads_to_it_with_its_room(signed_in: Client, stain: Assembly) -> None:
    job = make_job()
    room = make_room(job)
    item = put_on(make_estimate(job), stain, room)
    page = signed_in.get(reverse("work-item", args=[job.pk, item.pk])).content.decode()
    assert f"{reverse('compare')}?first={stain.pk}&amp;room={room.pk}" in page


def test_the_page_asks_no_more_of_the_database_for_a_larger_catalog(
    signed_in: Client, stain: Assembly, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    room, painting = make_room(make_job()), make_painting()
    for _ in range(20):
        add_component(stain, make_material(), "100 sq ft per gal")
        make_room(room.job)
        make_assembly()
    # session, user, firm, 2 for the form, 5 for the catalog, the room's openings and footprints, estimate
    with django_assert_max_num_queries(13):
        assert ask(signed_in, first=painting.pk, second=stain.pk, room=room.pk).status_code == 200
