"""A bill, a credit note and a change order on a date in doubt wait for the tick that the date is right."""

from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.documents import clock
from estimating.models import Document
from tests.estimating.signed_kitchen import make_change, quick_line
from tests.invoicing.bills import billed, milestone, reach, signed_floor
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db


@pytest.fixture
def a_month_ahead(monkeypatch: pytest.MonkeyPatch) -> None:
    """The newest event is noted as of a month from today."""
    later = timezone.localdate() + timedelta(days=30)
    monkeypatch.setattr(clock, "last_days", lambda: (later, None))


def asks_and_then_issues(
    client: Client, address: str, page: PageResponse, kind: str, typed: dict[str, str]
) -> None:
    """Without the tick nothing is issued and the question stands; with it one document is."""
    text = page.content.decode()
    assert "Is the date right?" in text
    unissued = page.context.get("unissued") or page.context["to_issue"].unissued
    typed = {**typed, "key": unissued.key}
    before = Document.objects.filter(kind=kind).count()
    refused = client.post(address, typed)
    assert refused.status_code == 409
    assert "Tick that the date is right" in refused.content.decode()
    assert 'name="date_is_right"' in refused.content.decode()
    assert Document.objects.filter(kind=kind).count() == before
    assert client.post(address, {**typed, "date_is_right": "on"}).status_code == 302
    assert Document.objects.filter(kind=kind).count() == before + 1


def test_a_bill_waits_for_the_tick(signed_in: Client, a_month_ahead: None) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "last_days", lambda: (None, None))
        job = signed_floor()
        reach(job, "Begun")
    begin = {"milestone": milestone(job, "Begun").pk}
    page = signed_in.post(reverse("bill-start", args=[job.pk]), begin, follow=True)
    asks_and_then_issues(signed_in, reverse("bill-issue", args=[job.pk]), page, "invoice", {"sure": "on"})


def test_a_credit_note_waits_for_the_tick(signed_in: Client, a_month_ahead: None) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "last_days", lambda: (None, None))
        invoice = billed(signed_floor(), "Begun")
    address, typed = (
        reverse("credit-new", args=[invoice.pk]),
        {"kind": "mistake", "amount-0": "9.04", "note": "Too many."},
    )
    asks_and_then_issues(signed_in, address, signed_in.post(address, typed), "credit_note", typed)


def test_a_change_order_waits_for_the_tick(signed_in: Client, a_month_ahead: None) -> None:
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "last_days", lambda: (None, None))
        change = make_change(signed_floor())
        quick_line(change, "A second joist", "2")
    address = reverse("change-issue", args=[change.pk])
    asks_and_then_issues(signed_in, address, signed_in.get(address), "change_order", {})
