"""One link for a job: what its holder finds there, and who can't."""

import pytest
from django.contrib.auth.models import User
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import Settings

from catalog.models import Firm
from estimating.client.job_page.text_message import text_message_address
from estimating.models import Acceptance, ClientLink, Document, JobLink
from tests.estimating.client_visits import (
    EMAIL,
    NAME,
    floor_with_options,
    link_of_one_paper,
    sent,
    sign,
    visit,
)
from tests.estimating.issuing import issue_now


@pytest.fixture
def document(db: None) -> Document:
    return issue_now(floor_with_options())


def page_of(address: str) -> tuple[Client, str]:
    """A browser at the page of the job, and what it shows."""
    browser = Client()
    return browser, browser.get(address, follow=True).content.decode()


def test_the_page_lists_what_was_sent_and_what_waits_for_its_holder(
    signed_in: Client, document: Document
) -> None:
    browser, shown = page_of(sent(signed_in, document))
    assert "Estimate 1001: $196.80" in shown
    assert "Read and sign" in shown
    paper = reverse("client-page", args=[ClientLink.objects.get().pk])
    assert browser.get(paper).status_code == 200
    sign(browser, paper, "196.80")
    shown = browser.get(reverse("client-job", args=[JobLink.objects.get().pk])).content.decode()
    assert "Read and sign" not in shown
    assert "Signed copy" in shown


def test_a_signature_by_the_page_names_the_pages_link_and_says_when_the_paper_was_put_there(
    signed_in: Client, document: Document
) -> None:
    browser, paper = visit(sent(signed_in, document))
    sign(browser, paper, "196.80")
    page, access = JobLink.objects.get(), Acceptance.objects.get().read_record()["access"]
    assert access["link_sha256"] == page.secret_sha256
    assert access["put_on_page_at"]
    assert access["mailed_to"] == EMAIL
    sent_event = document.events.get(kind="sent", data__contains="mail").read_data()
    assert sent_event["link"] == page.secret_sha256


def test_a_link_of_one_paper_opens_it_and_never_leads_on_to_the_page(
    signed_in: Client, document: Document
) -> None:
    browser, paper = visit(link_of_one_paper(document))
    link = ClientLink.objects.get()
    signed_in.post(reverse("document-answer", args=[document.pk]), {"text": "On Monday."})
    page = JobLink.objects.get()  # made for the mail of the answer
    text = browser.get(paper).content.decode()
    assert "All papers of" not in text
    assert browser.get(reverse("client-job", args=[page.pk])).status_code == 404
    link.refresh_from_db()
    assert link.job_link == page  # by the page's link it is reached, too


def test_what_somebody_else_was_sent_is_not_on_the_page(signed_in: Client, document: Document) -> None:
    mine = sent(signed_in, document)
    other = sent(signed_in, document, email="bank@example.com")
    assert mine != other
    theirs = ClientLink.objects.get(email="bank@example.com")
    browser, shown = page_of(mine)
    assert f"/for-you/{theirs.pk}/" not in shown
    assert browser.get(reverse("client-page", args=[theirs.pk])).status_code == 404


def test_the_page_shows_nothing_that_was_issued_and_not_sent(signed_in: Client, document: Document) -> None:
    address = sent(signed_in, document)
    ClientLink.objects.update(withdrawn_at=timezone.now())
    assert "Estimate 1001" not in page_of(address)[1]


def test_the_firm_finds_the_same_link_again_and_withdraws_it_with_its_papers(
    signed_in: Client, document: Document
) -> None:
    address, page = sent(signed_in, document), JobLink.objects.get()
    where = reverse("job-link", args=[document.job_id, page.pk])
    assert where in signed_in.get(reverse("job-papers", args=[document.job_id])).content.decode()
    assert address in signed_in.get(where).content.decode()
    signed_in.post(reverse("job-link-withdraw", args=[document.job_id, page.pk]))
    assert Client().get(address).status_code == 404
    assert not ClientLink.objects.filter(withdrawn_at=None).exists()
    assert document.event_kinds()[-1] == "unlinked"
    assert sent(signed_in, document, once="anew") != address


def test_under_another_key_of_the_site_a_new_link_is_made(
    signed_in: Client, owner: User, document: Document, settings: Settings
) -> None:
    first = sent(signed_in, document)
    settings.SECRET_KEY = "another"  # of a test
    signed_in.force_login(owner)
    assert Client().get(first).status_code == 302
    second = sent(signed_in, document, once="anew")
    assert first != second
    assert [Client().get(address).status_code for address in (first, second)] == [404, 302]


def test_a_question_on_the_page_goes_to_its_paper_and_the_mails_lead_to_where_it_is_answered(
    signed_in: Client, document: Document
) -> None:
    browser, _ = page_of(address := sent(signed_in, document))
    page, link = JobLink.objects.get(), ClientLink.objects.get()
    Firm.objects.update(email="tolliver@example.com")
    mail.outbox.clear()
    where = reverse("client-job", args=[page.pk])
    refused = browser.post(where, {"paper": f"{link.pk}", "text": ""})
    assert (refused.status_code, "Type your question." in refused.content.decode()) == (422, True)
    browser.post(where, {"paper": f"{link.pk}", "text": "Which day?"})
    assert "Which day?" in browser.get(where).content.decode()
    signed_in.post(reverse("document-answer", args=[document.pk]), {"text": "On Monday."})
    asked, answered = mail.outbox
    assert f"http://testserver{reverse('document-answer', args=[document.pk])}" in asked.body
    assert f"http://testserver{address}" in answered.body
    assert answered.to == [EMAIL]
    assert NAME in asked.body


@pytest.mark.parametrize(
    ("phone", "number"),
    [
        ("(555) 010-0199", "+15550100199"),
        ("1-555-010-0199", "+15550100199"),
        ("+44 20 7946 0958", "+442079460958"),
        ("555 010 0199 ext. 12", "+15550100199"),
        ("010-0199", "0100199"),
        ("", ""),
    ],
)
def test_a_text_message_is_addressed_as_phones_read_it(phone: str, number: str) -> None:
    assert text_message_address(phone, "A & B: https://x.example/open/a_b-c/") == (
        f"sms:{number}?body=A%20%26%20B%3A%20https%3A%2F%2Fx.example%2Fopen%2Fa_b-c%2F"
    )
