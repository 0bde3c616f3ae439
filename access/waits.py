"""How long to wait after wrong passwords."""

from datetime import timedelta

WITHOUT_WAIT = 5  # people mistype
FIRST_WAIT = timedelta(seconds=15)
LONGEST_WAIT = timedelta(minutes=15)
FORGOTTEN_AFTER = timedelta(days=1)


def wait_after(count: int) -> timedelta:
    """Return the wait after so many wrong passwords in a row: none before the fifth, then 15 s, doubled each
    time, at most 15 minutes. Somebody who guesses gets about 100 tries a day."""
    if count < WITHOUT_WAIT:
        return timedelta()
    doublings = min(count - WITHOUT_WAIT, 16)
    return min(FIRST_WAIT * (1 << doublings), LONGEST_WAIT)


def wait_in_words(wait: timedelta) -> str:
    """Return a wait in whole seconds, or from a minute and a half in whole minutes, rounded up."""
    seconds = -(-wait // timedelta(seconds=1))
    if seconds < 90:
        return f"{seconds} second{'' if seconds == 1 else 's'}"
    return f"{-(-seconds // 60)} minutes"
