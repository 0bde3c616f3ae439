"""A go-ahead on the spot: signed on the contractor's device, and recorded as every signature is."""

from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from estimating.client.signed_copy import signed_copy, signed_snapshot
from estimating.documents.pdf import make_pdf
from estimating.events.chain import digest
from estimating.models import Acceptance, Document, JobLink, Scan
from estimating.verification.signatures import signature_faults
from tests.estimating.client_visits import EMAIL, NAME, floor_with_options, sent
from tests.estimating.issuing import AT, issue_now
from tests.estimating.signed_kitchen import issued_change, photo, rotten_subfloor, signed_kitchen
from tests.pdf_text import text_of
from tests.responses import PageResponse

pytestmark = pytest.mark.django_db

DRAWN = "M10 20L30 40L50 20M60 60L61 61"


def go_ahead(firm: Client, document: Document, total: str, **typed: Any) -> PageResponse:
    data = {"name": NAME, "consent": "on", "seen_total": total, "drawn": DRAWN, **typed}
    return firm.post(reverse("go-ahead", args=[document.pk]), data)


def test_the_name_typed_on_the_contractors_device_signs_and_the_record_says_so(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    page = signed_in.get(reverse("go-ahead", args=[document.pk])).content.decode()
    assert "Sign and accept for $196.80" in page
    assert go_ahead(signed_in, document, "196.80").status_code == 302
    acceptance = Acceptance.objects.get()
    record = acceptance.read_record()
    assert (acceptance.way, record["name"], record["drawn"]) == ("here", NAME, DRAWN)
    assert record["document"]["pdf_sha256"] == document.pdf_sha256
    assert record["consent"]["text"].startswith("I agree to sign this paper electronically")
    rows = dict(signed_snapshot(acceptance)["signing"]["rows"])
    assert "The contractor's own device, signed in as" in rows["How access was limited to the signer"]
    assert "drew the signature on the glass" in rows["How access was limited to the signer"]
    assert [message.subject for message in mail.outbox][:1] == ["Signed: Estimate 1001, Kitchen"]
    assert list(signature_faults()) == []


def test_options_show_their_sum_before_they_are_signed(signed_in: Client) -> None:
    document = issue_now(floor_with_options())
    shown = go_ahead(signed_in, document, "196.80", options="0", look="yes").content.decode()
    assert "Sign and accept for $393.60" in shown
    assert go_ahead(signed_in, document, "196.80", options="0").status_code == 409
    assert go_ahead(signed_in, document, "393.60", options="0").status_code == 302
    assert f"{Acceptance.objects.get().total.amount}" == "393.60"


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"name": " "}, "Type your name: it is your signature."),
        ({"consent": ""}, "Tick this to sign electronically"),
        ({"drawn": "M1 1<script>"}, "The drawing didn&#x27;t arrive whole."),
    ],
)
def test_what_is_wrong_is_said_and_nothing_is_signed(
    signed_in: Client, typed: dict[str, str], said: str
) -> None:
    document = issue_now(floor_with_options())
    answer = go_ahead(signed_in, document, "196.80", **typed)
    assert (answer.status_code, said in answer.content.decode()) == (422, True)
    assert not Acceptance.objects.exists()


def test_a_change_says_what_a_waiver_in_an_emergency_takes_and_keeps_it(signed_in: Client) -> None:
    document = issued_change(rotten_subfloor(signed_kitchen()))
    page = signed_in.get(reverse("go-ahead", args=[document.pk])).content.decode()
    assert "16 CFR 429.0(a)(3)" in page
    assert "no legal advice" in page
    go_ahead(signed_in, document, f"{document.total.amount}", waiver=photo())
    acceptance = document.acceptance
    scan = Scan.objects.get(acceptance=acceptance)
    assert acceptance.read_record()["scan"]["sha256"] == scan.sha256 == digest(bytes(scan.content))
    assert document.cancel_by() is not None  # the days are counted all the same
    shown = signed_in.get(document.get_absolute_url()).content.decode()
    assert "a written waiver of the right to cancel is kept here" in shown
    assert signed_in.get(reverse("signature-scan", args=[document.pk])).status_code == 200
    text = text_of(make_pdf(signed_snapshot(acceptance)))
    assert "signed on the contractor's device" in text
    assert signed_copy(acceptance, AT).is_whole()


def test_what_is_signed_on_the_device_stands_on_the_page_that_the_client_has_of_the_job(
    signed_in: Client,
) -> None:
    job = signed_kitchen()
    job.client.email = EMAIL
    job.client.save()
    estimate, client, bank = Document.objects.get(), Client(), Client()
    client.get(sent(signed_in, estimate), follow=True)
    bank.get(sent(signed_in, estimate, "bank@example.com"), follow=True)
    change = issued_change(rotten_subfloor(job))
    assert go_ahead(signed_in, change, f"{change.total.amount}").status_code == 302
    shown = [
        browser.get(reverse("client-job", args=[page.pk])).content.decode()
        for browser, page in zip((client, bank), JobLink.objects.order_by("pk"), strict=True)
    ]
    assert ['Signed copy<span class="hidden-label"> of Change order 1' in text for text in shown] == [
        True,
        False,
    ]
