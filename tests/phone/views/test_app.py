"""What makes the site an app on a phone, and what the phone keeps of the jobs."""

import gzip
import json
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.contrib.staticfiles import finders
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job
from phone.shell import ICONS, STYLES, VENDOR, modules
from tests.factories import make_job
from tests.invoicing.bills import signed_floor

pytestmark = pytest.mark.django_db


def test_the_manifest_names_icons_that_are_there(client: Client) -> None:
    told = client.get(reverse("manifest")).json()
    assert told["start_url"] == "/on-site/"
    for icon in told["icons"]:
        assert finders.find(icon["src"].removeprefix("/static/"))


def test_the_icons_are_as_large_as_the_manifest_says_and_it_can_be_installed(client: Client) -> None:
    answer = client.get(reverse("manifest"))
    told = answer.json()
    assert answer["Content-Type"] == "application/manifest+json"
    assert (told["display"], told["scope"], bool(told["name"])) == ("standalone", "/", True)
    assert {icon["purpose"] for icon in told["icons"]} == {"any", "maskable"}
    for icon in told["icons"]:
        path = finders.find(icon["src"].removeprefix("/static/"))
        assert isinstance(path, str)
        head = Path(path).read_bytes()[:24]
        assert head[1:4] == b"PNG"
        sides = [int.from_bytes(head[at : at + 4], "big") for at in (16, 20)]
        assert "x".join(map(str, sides)) == icon["sizes"]


def test_the_first_load_is_small_beside_the_font(client: Client) -> None:
    files = [*STYLES, *ICONS[:1], *modules(), VENDOR]
    contents = [Path(str(finders.find(name))).read_bytes() for name in files]
    page = client.get("/on-site/").content
    assert sum(len(gzip.compress(content)) for content in (page, *contents)) < 150_000


def test_the_worker_is_asked_for_anew_and_serves_the_whole_site(client: Client) -> None:
    answer = client.get("/sw.js")
    assert answer["Content-Type"].startswith("text/javascript")
    assert answer["Cache-Control"] == "no-cache"


def test_every_file_that_the_phone_keeps_is_there(client: Client) -> None:
    script = client.get("/sw.js").content.decode()
    files = json.loads(script.split("const FILES = ")[1].split(";\n")[0])
    assert files
    assert [address for address in files if not finders.find(address.removeprefix("/static/"))] == []


def test_the_page_for_on_site_is_the_same_for_everybody(client: Client, signed_in: Client) -> None:
    assert Client().get("/on-site/").content == signed_in.get("/on-site/").content


def test_what_is_kept_of_jobs_is_in_no_cache_and_has_no_price(signed_in: Client) -> None:
    job = signed_floor()
    answer = signed_in.get(reverse("phone-jobs"))
    told = answer.json()
    assert answer["Cache-Control"] == "no-store"
    assert [each["id"] for each in told["jobs"]] == [job.pk]
    assert "196.80" not in answer.content.decode()
    assert "$" not in answer.content.decode()
    assert told["jobs"][0]["targets"]


def test_a_job_asked_for_long_ago_and_never_worked_on_is_left_out(signed_in: Client) -> None:
    job = make_job()
    today = timezone.localdate()
    for ago, count in ((59, 1), (61, 0)):
        Job.objects.filter(pk=job.pk).update(requested_on=today - timedelta(days=ago))
        assert len(signed_in.get(reverse("phone-jobs")).json()["jobs"]) == count


def test_what_is_kept_ends_with_the_sign_in(signed_in: Client) -> None:
    until = signed_in.get(reverse("phone-jobs")).json()["until"]
    last = timezone.now() + timedelta(seconds=settings.SESSION_COOKIE_AGE)
    assert until <= last.timestamp() * 1000


def test_contact_says_nothing_of_jobs_to_who_is_signed_out(client: Client) -> None:
    assert set(client.get(reverse("contact")).json()) == {"now", "ended"}
