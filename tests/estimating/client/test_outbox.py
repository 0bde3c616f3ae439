"""Mails about what a client did: the client's answer never waits for them, and they are tried again."""

import threading
from datetime import datetime, timedelta

import pytest
from django.core import mail
from django.test import Client
from django.utils import timezone
from pytest_django import Settings

from estimating.client import outbox
from estimating.client.outbox import FIRST_WAIT, LONGEST_WAIT, MOST_TRIES, send_waiting, wait_after
from estimating.models import Document, WaitingMail
from tests.estimating.client_visits import EMAIL, sent, sign, visit
from tests.estimating.mail_server import mail_is_down


@pytest.mark.filterwarnings("ignore::pytest.PytestUnhandledThreadExceptionWarning")
def test_who_wakes_the_sender_does_not_wait_for_it(
    monkeypatch: pytest.MonkeyPatch, settings: Settings
) -> None:
    """The mail server is silent: the sender stands, and the page goes on."""
    settings.MAIL_BESIDE_PAGES = True
    server_answers, called = threading.Event(), threading.Event()
    senders: list[threading.Thread] = []

    def silent(now: datetime) -> None:
        senders.append(threading.current_thread())
        called.set()
        server_answers.wait(20)
        raise SystemExit  # ends the thread

    monkeypatch.setattr(outbox, "send_waiting", silent)
    monkeypatch.setattr(outbox, "_sender", None)
    monkeypatch.setattr(outbox, "_serves_pages", True)
    outbox.wake()
    assert called.wait(20)
    outbox.wake()
    assert not server_answers.is_set()
    server_answers.set()
    senders[0].join(20)
    assert [sender is threading.current_thread() for sender in senders] == [False]


@pytest.mark.django_db
def test_a_mail_that_fails_is_kept_said_and_tried_again_until_it_goes_out_once(
    signed_in: Client,
) -> None:
    browser, page = visit(sent(signed_in))
    mail.outbox.clear()
    with mail_is_down():
        sign(browser, page, "196.80")
    waiting = WaitingMail.objects.get(sent_at=None)
    assert waiting.sent_at is None
    assert waiting.fault == f"The mail to {EMAIL} didn't go out: the mail server doesn't answer."
    shown = signed_in.get(Document.objects.get().get_absolute_url()).content.decode()
    assert "Not mailed yet:" in shown
    send_waiting(timezone.now())  # not yet its time
    assert mail.outbox == []
    for _ in range(2):
        send_waiting(timezone.now() + FIRST_WAIT)
    assert [message.to for message in mail.outbox] == [[EMAIL]]
    assert "Not mailed" not in signed_in.get(Document.objects.get().get_absolute_url()).content.decode()


def test_it_is_tried_ever_more_rarely_for_some_days() -> None:
    waits = [wait_after(tries) for tries in range(1, MOST_TRIES)]
    assert waits[:3] == [FIRST_WAIT, 3 * FIRST_WAIT, 9 * FIRST_WAIT]
    assert max(wait for wait in waits if wait) == LONGEST_WAIT
    assert timedelta(days=2) < sum((wait for wait in waits if wait), timedelta()) < timedelta(days=4)
    assert wait_after(MOST_TRIES) is None
