"""Starting a job, editing it, and the client's page."""

from datetime import date
from decimal import Decimal

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Client as Customer
from estimating.models import Job
from tests.factories import make_client, make_firm, make_job
from tests.responses import PageResponse

pytestmark = pytest.mark.every_database


def typed(**values: str) -> dict[str, str]:
    """What a whole form for a new client's job holds."""
    form = {
        "client": "",
        "client_name": "Ines Marchbank",
        "client_phone": "608-555-0117",
        "client_email": "ines@example.com",
        "client_address": "12 Cooper's Row",
        "name": "Bath with closet",
        "address": "",
        "year_built": "1958",
        "tax_policy": "consumer",
        "tax_percent": "6.5",
        "requested_on": "2026-11-24",
        "quote_due_on": "2026-11-26",
        "notes": "",
    }
    return {**form, **values}


def start(signed_in: Client, **values: str) -> PageResponse:
    return signed_in.post(reverse("job-new"), typed(**values))


def test_a_job_for_a_new_client_leads_to_its_rooms(signed_in: Client) -> None:
    response = start(signed_in)
    job = Job.objects.get()
    assert response["Location"] == reverse("room-new", args=[job.pk])
    assert (job.client.name, job.client.phone) == ("Ines Marchbank", "608-555-0117")
    assert (job.year_built, job.quote_due_on) == (1958, date(2026, 11, 26))


def test_the_work_is_at_the_clients_address_when_none_is_typed(signed_in: Client) -> None:
    start(signed_in)
    assert Job.objects.get().address == "12 Cooper's Row"


def test_a_tax_rate_of_four_decimals_is_kept(signed_in: Client) -> None:
    start(signed_in, tax_percent="8.1875")  # Mesilla, New Mexico, 2022
    assert Job.objects.get().tax_percent == Decimal("8.1875")


def test_a_known_client_is_picked_and_not_made_again(signed_in: Client) -> None:
    known = make_client(address="418 Larkspur Lane")
    start(signed_in, client=str(known.pk), client_name="", client_address="")
    assert Job.objects.get().client == known
    assert Job.objects.get().address == "418 Larkspur Lane"
    assert Customer.objects.count() == 1


def test_the_firms_tax_and_today_are_filled_in(signed_in: Client) -> None:
    make_firm(tax_policy="materials", tax_percent=Decimal("6.500"))
    form = signed_in.get(reverse("job-new")).context["form"]
    assert form["tax_policy"].value() == "materials"
    assert 'value="6.5"' in str(form["tax_percent"])
    assert f'value="{timezone.localdate():%Y-%m-%d}"' in str(form["requested_on"])


def test_a_job_begun_from_the_clients_page_has_that_client(signed_in: Client) -> None:
    known = make_client()
    response = signed_in.get(reverse("job-new"), {"client": known.pk})
    assert f'<option value="{known.pk}" selected>' in response.content.decode()


@pytest.mark.parametrize(
    ("field", "values", "sentence"),
    [
        ("client_name", {"client_name": ""}, "Pick a client above, or type the name of a new one here."),
        ("name", {"name": ""}, "Type what you call the job."),
        (
            "address",
            {"client_address": ""},
            "Type where the work is: there is no client's address to take.",
        ),
        ("year_built", {"year_built": "fifties"}, "“fifties” isn't a whole number. Type digits, such as 4."),
        ("tax_percent", {"tax_percent": "-1"}, "-1 is out of range: type 0 to 30."),
        (
            "quote_due_on",
            {"quote_due_on": "2026-11-20"},
            "The estimate is promised for a day before it was asked for.",
        ),
        ("requested_on", {"requested_on": ""}, "Pick the day it was asked for."),
    ],
)
def test_bad_input_is_told_at_its_field_and_nothing_is_stored(
    signed_in: Client, field: str, values: dict[str, str], sentence: str
) -> None:
    response = start(signed_in, **values)
    assert response.status_code == 422
    assert response.context["form"].errors == {field: [sentence]}
    assert f'href="#id_{field}"' in response.content.decode()
    assert not Job.objects.exists()
    assert not Customer.objects.exists()


def test_what_must_be_put_right_is_listed_in_the_order_of_the_page(signed_in: Client) -> None:
    text = start(signed_in, client_name="", name="n" * 10_000, tax_percent="six").content.decode()
    places = [text.index(f'href="#id_{name}"') for name in ("client_name", "name", "tax_percent")]
    assert places == sorted(places)


def test_what_was_typed_stays_after_bad_input(signed_in: Client) -> None:
    text = start(signed_in, tax_percent="six").content.decode()
    assert 'value="six"' in text
    assert 'value="Bath with closet"' in text
    assert 'value="608-555-0117"' in text


def test_an_empty_post_is_refused_not_taken_for_a_fresh_form(signed_in: Client) -> None:
    assert signed_in.post(reverse("job-new"), {}).status_code == 422


def test_a_picked_client_and_a_typed_name_are_not_guessed_between(signed_in: Client) -> None:
    known = make_client(address="418 Larkspur Lane")
    response = start(signed_in, client=str(known.pk))
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["client_name"]


def test_a_name_of_10000_characters_is_refused_and_kept(signed_in: Client) -> None:
    response = start(signed_in, name="x" * 10_000)
    assert response.status_code == 422
    assert response.context["form"].errors["name"] == ["Keep it to 120 characters: this has 10000."]
    assert "x" * 10_000 in response.content.decode()


def test_editing_a_job_puts_it_away(signed_in: Client) -> None:
    job = make_job()
    form = {"client": job.client_id, "name": "Kitchen", "address": "here", "tax_policy": "none"}
    form |= {"tax_percent": "0", "requested_on": "2026-11-24", "closed": "on"}
    response = signed_in.post(reverse("job-edit", args=[job.pk]), form)
    assert response["Location"] == reverse("today")
    job.refresh_from_db()
    assert job.closed
    assert job.address == "here"


def test_editing_a_client(signed_in: Client) -> None:
    client = make_client()
    signed_in.post(reverse("client-edit", args=[client.pk]), {"name": "Marisol and Dean Okonjo"})
    client.refresh_from_db()
    assert client.name == "Marisol and Dean Okonjo"


def test_the_clients_page_lists_his_jobs(signed_in: Client) -> None:
    job = make_job(name="Kitchen")
    text = signed_in.get(reverse("client-edit", args=[job.client_id])).content.decode()
    assert reverse("job-rooms", args=[job.pk]) in text


def test_a_client_with_a_bad_email_is_told(signed_in: Client) -> None:
    client = make_client()
    response = signed_in.post(reverse("client-edit", args=[client.pk]), {"name": "M", "email": "at home"})
    assert response.status_code == 422
    assert list(response.context["form"].errors) == ["email"]
    assert 'value="at home"' in response.content.decode()


def test_a_job_that_is_not_there(signed_in: Client) -> None:
    assert signed_in.get(reverse("job-edit", args=[404])).status_code == 404
