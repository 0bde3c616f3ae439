"""A mail server that is down, refuses, or hangs up while it takes a mail."""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from django.core.mail.backends.locmem import EmailBackend


@contextmanager
def mail_is_down() -> Iterator[None]:
    """Nobody answers where mail goes."""
    with raising("open", OSError()):
        yield


@contextmanager
def raising(what: str, error: Exception) -> Iterator[None]:
    """Have the server fail as it is asked to `open`, or takes what is sent: `send_messages`."""

    def fail(*arguments: object) -> None:
        raise error

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(EmailBackend, what, fail)
        yield
