"""A diary by days: what was written of each, beside what is known of it anyway."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from estimating.plain_text import list_in_words


@dataclass(frozen=True)
class Entry:
    """What was written of a day. `photos` are their keys with what each shows."""

    key: int
    on: date
    says: str
    weather: str = ""
    who: str = ""
    came: str = ""
    photos: Sequence[tuple[int, str]] = ()
    for_client: bool = False

    @property
    def facts(self) -> list[str]:
        """Weather, who was there and what came, each as a short sentence."""
        labeled = (("Weather", self.weather), ("There", self.who), ("Came", self.came))
        return [f"{label}: {text}" for label, text in labeled if text]


@dataclass(frozen=True)
class DiaryDay:
    """A day with its entries in the order in which they were written, and what is known of it anyway."""

    on: date
    entries: Sequence[Entry]
    known: Sequence[str]


def by_days(
    entries: Iterable[Entry],
    hours: Iterable[tuple[date, Decimal]] = (),
    events: Iterable[tuple[date, str]] = (),
) -> list[DiaryDay]:
    """Return the days on which something was written, the newest first.

    `hours` are sums worked by day, `events` what came or was inspected; those of other days are left out.
    """
    days: dict[date, list[Entry]] = defaultdict(list)
    for entry in entries:
        days[entry.on].append(entry)
    worked = dict(hours)
    came: dict[date, list[str]] = defaultdict(list)
    for on, title in events:
        came[on].append(title)
    return [
        DiaryDay(on, sorted(days[on], key=lambda entry: entry.key), _known(worked.get(on), came[on]))
        for on in sorted(days, reverse=True)
    ]


def _known(hours: Decimal | None, came: Sequence[str]) -> list[str]:
    known = [f"{hours.normalize():f} h worked"] if hours else []
    return [*known, list_in_words(list(came))] if came else known
