"""Sending that is cut 200 times, at every step: nothing is lost and nothing comes twice."""

import random
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from django.contrib.auth.models import User
from playwright.sync_api import Page, Route, expect

from jobsite.models import HoursWorked
from tests.conftest import PHONE
from tests.invoicing.bills import signed_floor

pytestmark = [pytest.mark.browser, pytest.mark.benchmark, pytest.mark.django_db(transaction=True)]

TIMES = 200
FIRST = date(2020, 1, 1)
# The page's own modules, asked directly: a record kept, then all that waits sent.
KEEP_AND_SEND = """async ([says, on]) => {
    const store = await import("/static/phone/store.js");
    const sending = await import("/static/phone/sending.js");
    const { user, phone, jobs } = await store.kept("jobs");
    const fields = { on_what: ["job-travel"], on: [on], worked: ["0.25"], says: [says] };
    const record = { key: store.newKey(), kind: "hours", job: jobs[0].id, user, phone, fields, photos: [] };
    if (says) await store.addRecord({ ...record, offset: await store.kept("offset"), at: Date.now() });
    await sending.send(sending.addressesOf(document.body));
    return store.countRecords(); }"""


def test_what_is_cut_at_any_step_comes_once(open_as_owner: Callable[..., Page], owner: User) -> None:
    signed_floor()
    page = open_as_owner(**PHONE)
    page.goto("/on-site/")
    expect(page.get_by_role("heading", name="Open jobs")).to_be_visible()
    chance = random.Random(14)
    cut = ""

    def answer(route: Route) -> None:
        """Cut the line before the server hears, after it wrote, or after its answer, once."""
        nonlocal cut
        how, is_sent = cut, route.request.method == "POST"
        if (how == "contact" and "/contact/" in route.request.url) or (how == "before" and is_sent):
            cut = ""
            route.abort()
        elif how in ("written", "answered") and is_sent:
            cut = ""
            route.fetch(max_redirects=0 if how == "written" else 20)
            route.abort()
        else:
            route.continue_()

    page.route("**/contact/**", answer)
    page.route("**/phone/records/**", answer)
    for number in range(TIMES):
        cut = chance.choice(["contact", "before", "written", "answered"])
        page.evaluate(KEEP_AND_SEND, [f"cut {number}", (FIRST + timedelta(days=number)).isoformat()])
    left = [page.evaluate(KEEP_AND_SEND, ["", ""]) for _ in range(5)][-1]
    says = list(HoursWorked.objects.order_by("pk").values_list("says", flat=True))
    assert (left, says) == (0, [f"cut {number}" for number in range(TIMES)])
