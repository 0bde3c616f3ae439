"""Checks that go on after something unreadable: a changed byte must be named, and not end the search."""

from collections.abc import Iterable, Iterator

from django.core.exceptions import ObjectDoesNotExist

# What reading changed JSON, numbers, dates and rows raises; StopIteration leaves a generator as RuntimeError.
_UNREADABLE = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RuntimeError)


def continue_after_unreadable(faults: Iterable[str], subject: str) -> Iterator[str]:
    """Yield the faults that a check finds.

    Where the check meets something that can't be read, yield one more sentence that says so of the subject,
    and end this check; the caller goes on with the next.
    """
    try:
        yield from faults
    except (*_UNREADABLE, ObjectDoesNotExist) as error:
        yield f"{subject} can't be read ({type(error).__name__})."
