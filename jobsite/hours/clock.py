"""What a clock that ran makes: hours and times of one day, or a question where it was forgotten."""

from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from catalog.measures.hours import Span, TimeWorked, round_to_hundredth

MOST_MINUTES = 10 * 60  # in one go; after that it is asked about (a judgement of ours)


@dataclass(frozen=True)
class ClockTime:
    """How long a clock ran; both times as the clock on the wall showed them."""

    started: datetime
    now: datetime

    @property
    def minutes(self) -> int:
        """Whole minutes that really went by, also where the clocks were changed meanwhile."""
        return max(int(self.now.timestamp() - self.started.timestamp()) // 60, 0)

    @property
    def was_forgotten(self) -> bool:
        """Whether it ran past midnight or longer than anyone works in one go: then it is asked about."""
        return self.started.date() != self.now.date() or self.minutes > MOST_MINUTES

    def in_words(self) -> str:
        """Return how long it ran: "1 h 20 min"."""
        hours, minutes = divmod(self.minutes, 60)
        return f"{hours} h {minutes:02d} min" if hours else f"{minutes} min"

    def worked(self) -> TimeWorked | None:
        """Return what is booked when it stops; None for less than a minute.

        Raises ValueError where it was forgotten: nothing is booked in silence.
        """
        if self.was_forgotten:
            raise ValueError("The clock was forgotten: ask when it should have stopped.")
        if not self.minutes:
            return None
        start = self.started.hour * 60 + self.started.minute
        end = min(start + self.minutes, 24 * 60)
        return TimeWorked(round_to_hundredth(Fraction(self.minutes, 60)), (Span(start, end),))
