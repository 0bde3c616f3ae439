"""Nobody sees a page without signing in, and signing in is plain."""

import itertools
import re
from collections.abc import Iterator

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from account.models import Device
from estimating.models import ClientLink, JobLink
from tests.estimating.client_visits import sent, visit
from tests.estimating.issuing import another_floor, issue_now, painted_floor

# Those of a link need its secret; what a phone keeps to open without signal holds nobody's data.
OF_THE_PHONE = ("on-site/", "contact/", "sw.js", "app.webmanifest")
OPEN_TO_ALL = ("sign-in/", "open/", "for-you/", "calendar/", "firm/reach/proof/", *OF_THE_PHONE)
SAMPLES = {"int": "1", "str": "x", "slug": "x", "uuid": "00000000-0000-4000-8000-000000000000", "path": "x"}


def routes(patterns: list[URLPattern | URLResolver], before: str = "") -> Iterator[str]:
    """Every address of the site, with a sample in the place of each argument."""
    for pattern in patterns:
        route = before + str(pattern.pattern)
        if isinstance(pattern, URLResolver):
            yield from routes(pattern.url_patterns, route)
        else:
            yield re.sub(r"<(?:(\w+):)?\w+>", lambda match: SAMPLES[match[1] or "str"], route)


@pytest.fixture
def visitor(request: pytest.FixtureRequest, signed_in: Client) -> Client:
    """A browser that mustn't come in: nobody's, a client's on his own page, or one that was signed out."""
    if request.param == "a client":
        return visit(sent(signed_in))[0]
    if request.param == "an ended device":
        Device.objects.all().delete()
        return signed_in
    return Client()


@pytest.mark.parametrize("method", ["get", "post"])
@pytest.mark.parametrize("visitor", ["nobody", "a client", "an ended device"], indirect=True)
def test_every_page_asks_for_sign_in(visitor: Client, method: str) -> None:
    closed = [route for route in routes(get_resolver().url_patterns) if not route.startswith(OPEN_TO_ALL)]
    assert closed
    answers = {route: getattr(visitor, method)(f"/{route}") for route in closed}
    open_ones = {
        route: answer.status_code
        for route, answer in answers.items()
        if answer.status_code != 302 or not answer["Location"].startswith("/sign-in/?next=")
    }
    assert open_ones == {}


@pytest.mark.django_db
@pytest.mark.parametrize("method", ["get", "post"])
def test_no_address_of_one_clients_page_opens_to_another_or_to_nobody(signed_in: Client, method: str) -> None:
    floor = painted_floor()
    visit(sent(signed_in, issue_now(floor)))
    of_job, of_papers = JobLink.objects.get().pk, [link.pk for link in ClientLink.objects.all()]
    other, _ = visit(sent(signed_in, issue_now(another_floor(floor)), "b@example.com"))
    all_routes = {route for route in routes(get_resolver().url_patterns) if route.startswith("for-you/")}
    places = all_routes - {"for-you/verify_signed.py"}  # the program that checks papers, the same for all
    assert len(places) > 8
    assert of_papers
    for route, browser in itertools.product(places, (other, Client())):
        for number in [of_job] if route.startswith("for-you/job/") else of_papers:
            address = "/" + re.sub(r"\b1\b", f"{number}", route, count=1)
            status = getattr(browser, method)(address).status_code
            assert status in (403, 404, 405), (address, status)


@pytest.mark.django_db
def test_password_managers_know_the_fields(client: Client) -> None:
    page = client.get(reverse("login")).content.decode()
    assert 'autocomplete="username"' in page
    assert 'autocomplete="current-password"' in page


def test_the_right_password_leads_to_today(client: Client, owner: User) -> None:
    answer = client.post(reverse("login"), {"username": "pat", "password": "a tape and a pencil"})
    assert (answer.status_code, answer["Location"]) == (302, reverse("today"))


def test_a_wrong_password_is_said_and_the_name_kept(client: Client, owner: User) -> None:
    answer = client.post(reverse("login"), {"username": "pat", "password": "a pencil"})
    page = answer.content.decode()
    assert answer.status_code == 422
    assert "<title>Error: Sign in" in page
    assert "The name or the password is not right." in page
    assert 'value="pat"' in page


def test_signing_in_leads_back_to_the_page_asked_for_and_nowhere_else(client: Client, owner: User) -> None:
    typed = {"username": "pat", "password": "a tape and a pencil", "next": "https://elsewhere.example.com/"}
    assert client.post(reverse("login"), typed)["Location"] == reverse("today")
    client.logout()
    assert client.post(reverse("login"), {**typed, "next": "/catalog/"})["Location"] == "/catalog/"


def test_signing_out_takes_a_post(signed_in: Client) -> None:
    assert signed_in.get(reverse("logout")).status_code == 405
    assert signed_in.post(reverse("logout")).status_code == 302
    assert "_auth_user_id" not in signed_in.session


def test_a_short_new_password_is_refused(signed_in: Client, owner: User) -> None:
    typed = {"old_password": "a tape and a pencil", "new_password1": "pencil", "new_password2": "pencil"}
    answer = signed_in.post(reverse("password-change"), typed)
    assert answer.status_code == 422
    assert "at least 12 characters" in answer.content.decode()
    owner.refresh_from_db()
    assert owner.check_password("a tape and a pencil")


def test_a_new_password_takes_effect(signed_in: Client, owner: User) -> None:
    new = "chalk line snapped true"
    typed = {"old_password": "a tape and a pencil", "new_password1": new, "new_password2": new}
    assert signed_in.post(reverse("password-change"), typed).status_code == 302
    owner.refresh_from_db()
    assert owner.check_password(new)
