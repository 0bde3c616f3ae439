"""Checks that go on past what can't be read: a changed byte must be named, and not end the search."""

from collections.abc import Iterable, Iterator

from django.core.exceptions import ObjectDoesNotExist

# What reading changed JSON, numbers, dates and rows raises; StopIteration leaves a generator as RuntimeError.
_UNREADABLE = (ValueError, TypeError, LookupError, AttributeError, ArithmeticError, RuntimeError)


def as_far_as_readable(faults: Iterable[str], what: str) -> Iterator[str]:
    """What a check finds; where it comes to something that can't be read, one more sentence, and its end."""
    try:
        yield from faults
    except (*_UNREADABLE, ObjectDoesNotExist) as error:
        yield f"{what} can't be read ({type(error).__name__})."
