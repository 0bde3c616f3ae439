"""The pages of the one search and of all jobs."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from estimating.models import Client as Owner
from estimating.models import Document, Job
from tests.factories import make_client, make_firm, make_job, make_room

DAY, AT = date(2026, 3, 2), datetime(2026, 3, 2, 15, tzinfo=UTC)

pytestmark = pytest.mark.every_database


def test_every_page_has_the_search(signed_in: Client) -> None:
    assert reverse("search") in signed_in.get(reverse("firm")).content.decode()


def test_what_only_one_row_has_opens_its_page(signed_in: Client) -> None:
    job = make_job(name="Sunroom")
    assert signed_in.get(reverse("search"), {"q": "sunroom"}).headers["Location"] == job.get_absolute_url()


def test_a_search_shows_what_was_found_and_says_when_there_is_nothing(signed_in: Client) -> None:
    make_job(name="Sunroom")
    make_job(name="Sunroom roof")
    page = signed_in.get(reverse("search"), {"q": "sunroom"}).content.decode()
    assert "Sunroom roof" in page
    assert "Nothing has these words" in signed_in.get(reverse("search"), {"q": "garage\0"}).content.decode()
    assert "Type a part" in signed_in.get(reverse("search")).content.decode()


def test_jobs_are_listed_by_whether_they_are_closed(signed_in: Client) -> None:
    make_job(name="Porch")
    make_job(name="Attic", closed=True)
    both, closed = (
        signed_in.get(reverse("jobs"), {"state": state}).content.decode() for state in ("", "closed")
    )
    assert "Porch" in both
    assert "Attic" in both
    assert "Porch" not in closed


@pytest.mark.parametrize("jobs", [1, 12])
def test_queries_do_not_grow_with_jobs(
    signed_in: Client, jobs: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    for _ in range(jobs):
        make_room(make_job())
    # session, user, how many, those of the page, their years, the same with counts, their issued estimates
    with django_assert_num_queries(7):
        signed_in.get(reverse("jobs"))


LISTS = {"clients": {"words": "a"}, "papers": {"words": "a", "year": "2026"}, "jobs": {"state": "closed"}}


@pytest.mark.parametrize("name", LISTS)
def test_a_long_list_comes_by_the_page_and_asks_as_much_for_three_rows_as_for_ninety(
    signed_in: Client, name: str
) -> None:
    client, counts = make_client(name="Ana"), []
    for rows in (3, 87):
        fill(client, rows)
        with CaptureQueriesContext(connection) as queries:
            page = signed_in.get(reverse(name), LISTS[name]).content.decode()
        counts.append(len(queries))
    assert counts[0] == counts[1]
    assert "Page 1 of 3" in page
    last = signed_in.get(reverse(name), {**LISTS[name], "page": "3"}).content.decode()
    assert "Page 3 of 3" in last
    assert "Previous page" in last
    assert "Next page" not in last


def fill(client: Owner, rows: int) -> None:
    """So many more clients, closed jobs and papers; nobody reads what the papers say."""
    Owner.objects.bulk_create(Owner(name=f"Ana {number}") for number in range(rows))
    jobs = [
        Job(client=client, name="Attic", address="Elm", tax_policy="none", requested_on=DAY, closed=True)
        for _ in range(rows)
    ]
    Job.objects.bulk_create(jobs)
    first = Document.objects.count() + 1
    Document.objects.bulk_create(
        Document(
            kind="invoice",
            series="invoice",
            number=number,
            job=job,
            issue_key=f"{number}",
            pdf=b"",
            issued_at=AT,
            dated=DAY,
            total=Decimal(1),
        )
        for number, job in enumerate(jobs, first)
    )


def listed(browser: Client, name: str, **asked: str) -> str:
    return browser.get(reverse(name), asked).content.decode()


def test_jobs_are_found_by_phone_year_and_the_number_of_a_paper(signed_in: Client) -> None:
    ana = make_client(name="Ana", phone="(608) 555-0117", email="ana@example.com")
    fill(ana, 1)
    make_job(name="Porch", requested_on=date(2019, 5, 1))
    for words in ("608 555 0117", "5550117", "ana@example", "2026", "INV-1"):
        page = listed(signed_in, "jobs", words=words)
        assert ("Attic" in page, "Porch" in page) == (True, False), words
    old = listed(signed_in, "jobs", year="2019")
    assert ("Attic" in old, "Porch" in old) == (False, True)
    assert "Page " not in old


def test_papers_are_listed_by_kind_and_year(signed_in: Client) -> None:
    fill(make_client(), 1)
    assert "Invoice 1" in listed(signed_in, "papers", kind="invoice", year="2026")
    for other in ({"kind": "estimate"}, {"year": "2025"}, {"words": "garage"}):
        assert "No paper is like that" in listed(signed_in, "papers", **other)
