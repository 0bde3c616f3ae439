"""Whether the machine's date fits what was noted before: a clock set wrong must not date a paper unasked."""

from collections.abc import Iterable, Iterator
from datetime import date, timedelta

from estimating.plain_text import day_in_words

FAR = timedelta(days=365)  # so long without a paper or a sign-in is rarer than a clock a year off


def date_in_doubt(today: date, last_event: date | None, last_sign_in: date | None) -> str:
    """Return what to ask before a paper is dated; empty where the date fits.

    It doesn't where it comes before the newest event of the papers, more than a year after it, or more than
    a year before or after the last sign-in.
    """
    if last_event and not timedelta(0) <= today - last_event <= FAR:
        earlier = f"The last thing noted of your papers is of {day_in_words(last_event)}"
    elif last_sign_in and abs(today - last_sign_in) > FAR:
        earlier = f"You last signed in on {day_in_words(last_sign_in)}"
    else:
        return ""
    return f"{earlier}; this machine says it is {day_in_words(today)}. Is that right?"


def dates_that_run_backward(days: Iterable[tuple[int, date]]) -> Iterator[str]:
    """Yield a sentence for each event dated before the day of the one that it follows.

    `days` are place and day of the events in the order of their places.
    """
    place_before, before = 0, date.min
    for place, day in days:
        if day < before:
            yield (
                f"Event {place} is dated {day_in_words(day)}, before event {place_before} of "
                f"{day_in_words(before)}: the machine's clock was wrong at one of them."
            )
        place_before, before = place, day
