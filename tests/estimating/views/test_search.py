"""The pages of the one search and of all jobs."""

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from tests.factories import make_firm, make_job, make_room

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
