"""Counting sign-ins that fail, so that who guesses waits, and the owner on his own device doesn't.

An attempt counts for the account and for the network that it came from; on a device on which the account has
signed in before, for that device alone: nobody else can make its owner wait. It counts before its password is
looked at, so that many at once are no more than one after the other.
"""

import threading
import unicodedata
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from datetime import datetime, timedelta
from hashlib import sha256

from django.db import transaction

from access.addresses import network_of
from access.models import FailedSignIn
from access.waits import FORGOTTEN_AFTER, wait_after

# To look at a password takes a processor most of a second: at strangers', one at a time.
_of_strangers = threading.Semaphore(1)
WHILE_ANOTHER_IS_LOOKED_AT = timedelta(seconds=2)


class TooEarly(Exception):
    """The next attempt may be made after the wait."""

    def __init__(self, wait: timedelta) -> None:
        super().__init__(wait)
        self.wait = wait


@contextmanager
def attempt(
    username: str, address: str, device: tuple[str, str] | None, now: datetime
) -> Iterator[Sequence[str]]:
    """Count an attempt to sign in, within which the password is looked at; gives what it counts for.

    `device` is the known device that it came from. Raises TooEarly, and counts nothing then.
    """
    account = _account(username)
    if device is not None and _account(device[0]) == account:
        keys = [_key("device", device[1])]
        _count(keys, now)
        yield keys
        return
    keys = sorted((_key("account", account), _key("network", network_of(address))))
    _check(keys, now)
    if not _of_strangers.acquire(blocking=False):
        raise TooEarly(WHILE_ANOTHER_IS_LOOKED_AT)
    try:
        _count(keys, now)
        yield keys
    finally:
        _of_strangers.release()


def forget(keys: Sequence[str]) -> None:
    """Start counting anew, after the right password."""
    FailedSignIn.objects.filter(who_sha256__in=keys).delete()


def _check(keys: Sequence[str], now: datetime) -> None:
    rows = FailedSignIn.objects.filter(who_sha256__in=keys, last_at__gt=now - FORGOTTEN_AFTER)
    wait = max((row.last_at + wait_after(row.count) - now for row in rows), default=timedelta())
    if wait > timedelta():
        raise TooEarly(wait)


def _count(keys: Sequence[str], now: datetime) -> None:
    _check(keys, now)  # before anything is locked
    with transaction.atomic():
        FailedSignIn.objects.filter(last_at__lte=now - FORGOTTEN_AFTER).delete()
        new = [FailedSignIn(who_sha256=key, count=0, last_at=now) for key in keys]
        FailedSignIn.objects.bulk_create(new, ignore_conflicts=True)
        rows = FailedSignIn.objects.select_for_update().filter(who_sha256__in=keys)
        for row in rows.order_by("who_sha256"):
            if row.last_at + wait_after(row.count) > now:
                raise TooEarly(row.last_at + wait_after(row.count) - now)
            FailedSignIn.objects.filter(pk=row.pk).update(count=row.count + 1, last_at=now)


def _account(username: str) -> str:
    """The name as Django reads it: all spellings of a name are one account."""
    return unicodedata.normalize("NFKC", username.strip()).casefold()


def _key(kind: str, name: str) -> str:
    return sha256(f"{kind}:{name}".encode()).hexdigest()
