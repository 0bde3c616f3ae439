"""Mail that doesn't go out stands on Today with what to do, and goes out once."""

from datetime import timedelta

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pytest_django import DjangoCaptureOnCommitCallbacks

from estimating.client import outbox
from estimating.models import WaitingMail

pytestmark = pytest.mark.django_db


def test_a_mail_that_failed_is_said_on_today_and_goes_out_by_a_tap(
    signed_in: Client, django_capture_on_commit_callbacks: DjangoCaptureOnCommitCallbacks
) -> None:
    assert "Mail that didn't go out" not in signed_in.get("/").content.decode()
    with (
        pytest.MonkeyPatch.context() as patch,
        django_capture_on_commit_callbacks(execute=True),
    ):
        patch.setattr("django.core.mail.EmailMessage.send", lambda self: (_ for _ in ()).throw(OSError()))
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
