"""Mail that doesn't go out stands on Today with what to do, and goes out once."""

import re
import smtplib
from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks

from estimating.client import outbox
from estimating.models import WaitingMail
from tests.estimating.mail_server import mail_is_down, raising

pytestmark = pytest.mark.django_db


def test_a_mail_that_failed_is_said_on_today_and_goes_out_by_a_tap(
    signed_in: Client, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    assert "Mail that didn't go out" not in signed_in.get("/").content.decode()
    with mail_is_down(), django_capture_on_commit_callbacks(execute=True):
        outbox.put_down("pat@tolliver.example.com", "Signed\r\nBcc: x@example.com", "Text.", timezone.now())
        outbox.wake()
    assert "The mail to pat@tolliver.example.com didn't go out" in (
        signed_in.get("/").content.decode().replace("&#x27;", "'")
    )
    with django_capture_on_commit_callbacks(execute=True):
        signed_in.post(reverse("mail-again"))
    (message,) = mail.outbox
    assert (message.subject, message.bcc) == ("Signed Bcc: x@example.com", [])
    assert "Mail that didn't go out" not in signed_in.get("/").content.decode()


def test_a_mail_given_up_is_not_tried_until_he_asks() -> None:
    now = timezone.now()
    WaitingMail.objects.create(to="x@example.com", subject="s", fault="f", tries=16, next_at=None)
    outbox.send_waiting(now + timedelta(days=9))
    assert mail.outbox == []
    assert [f"{given_up}" for given_up in outbox.given_up()] == ["mail to x@example.com: s"]


def test_who_looks_while_another_sends_sends_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """The other looks at the very moment in which the first one hands the mail over."""
    now, sent = timezone.now(), []
    WaitingMail.objects.create(to="x@example.com", subject="s", text="t", next_at=now)

    def send(self: mail.EmailMessage) -> None:
        sent.append(self.extra_headers["Message-ID"])
        outbox.send_waiting(now)

    monkeypatch.setattr("django.core.mail.EmailMessage.send", send)
    outbox.send_waiting(now)
    assert len(sent) == 1


def test_what_broke_off_while_it_was_handed_over_is_not_mailed_again_by_itself(signed_in: Client) -> None:
    """The server may have it: the owner is told, and decides."""
    now = timezone.now()
    WaitingMail.objects.create(to="x@example.com", subject="The price", text="t", next_at=now)
    with raising("send_messages", smtplib.SMTPServerDisconnected()):
        outbox.send_waiting(now)
    outbox.send_waiting(now + timedelta(days=9))
    assert mail.outbox == []
    page = signed_in.get("/").content.decode()
    assert "it may have gone out" in page
    (drop,) = re.findall(r'action="(/mail/\d+/drop/)"', page)
    signed_in.post(drop)
    assert not WaitingMail.objects.exists()


def test_one_whose_sender_was_killed_as_it_handed_it_over_is_not_mailed_again(signed_in: Client) -> None:
    now = timezone.now()
    WaitingMail.objects.create(to="x@example.com", subject="s", text="t", tries=1, handed_at=now)
    outbox.send_waiting(now + timedelta(minutes=11))
    assert mail.outbox == []
    assert [given_up.fault for given_up in outbox.given_up()] == [
        f"The mail to x@example.com didn't go out: {outbox.UNSURE}"
    ]


@pytest.mark.parametrize(("code", "tried_again"), [(450, True), (550, False)])
def test_an_address_that_the_server_refuses_for_good_is_not_tried_for_days(
    code: int, tried_again: bool
) -> None:
    now = timezone.now()
    WaitingMail.objects.create(to="x@example.com", subject="s", text="t", next_at=now)
    refused = smtplib.SMTPRecipientsRefused({"x@example.com": (code, b"no such box")})
    with raising("send_messages", refused):
        outbox.send_waiting(now)
    waiting = WaitingMail.objects.get()
    assert waiting.fault.endswith(f"the mail server refused it ({code} no such box).")
    outbox.send_waiting(now + timedelta(days=1))
    assert bool(mail.outbox) == tried_again


def test_a_mail_that_is_too_late_is_not_sent_any_more() -> None:
    now = timezone.now()
    WaitingMail.objects.create(
        to="x@example.com", subject="123456 is your code", text="t", next_at=now, until=now
    )
    outbox.send_waiting(now + timedelta(seconds=1))
    assert mail.outbox == []
    assert WaitingMail.objects.get().fault == outbox.TOO_LATE


def test_a_code_that_somebody_waits_for_goes_before_what_was_there_earlier() -> None:
    now = timezone.now()
    for subject, until in (("Days", None), ("A code", now + timedelta(minutes=15))):
        WaitingMail.objects.create(to="x@example.com", subject=subject, text="t", next_at=now, until=until)
    outbox.send_waiting(now)
    assert [message.subject for message in mail.outbox] == ["A code", "Days"]
