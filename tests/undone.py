"""What is written for a while, as before a shared fixture or within one example of many, and then undone."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import transaction


@contextmanager
def undone() -> Iterator[None]:
    """Undo what is written inside. Counts as a test's own transaction: issuing asks for an outermost one."""
    attempt = transaction.atomic()
    attempt._from_testcase = True  # type: ignore[attr-defined]  # as Django's TestCase marks its own
    with attempt:
        yield
        transaction.set_rollback(True)
