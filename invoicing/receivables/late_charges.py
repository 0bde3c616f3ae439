"""Money that is late: the charge that the contract states, reminders, and dates counted from the work."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import round_cents
from invoicing.milestones.plan import NO_MONEY
from invoicing.receivables.balances import Entry, account


@dataclass(frozen=True)
class LateTerms:
    """Simple interest as the contract states it: share a year, and the days that it counts to a year.

    365 is usual in state law (from memory); the federal formula counts 360 (5 CFR 1315.17).
    """

    yearly: Fraction
    days_in_year: int = 365

    def __post_init__(self) -> None:
        if self.yearly < 0 or self.days_in_year not in (360, 365):
            raise ValueError("A late charge is a share of zero or more a year of 360 or 365 days.")


def late_days(due: date, until: date) -> int:
    """Days late: the first is the day after the due date, the last the day of payment.

    Source: U.S. Treasury, Prompt Payment, simple daily interest: due 1 April, paid 11 April is 10 days.
    """
    return max((until - due).days, 0)


def late_charge(amount: Decimal, terms: LateTerms, due: date, until: date) -> Decimal:
    """Simple interest on an amount open all the while, actual days, rounded once half-up to the cent."""
    return round_cents(_interest(amount, terms, late_days(due, until)))


def late_charge_on(
    entries: Sequence[Entry],
    invoice: str,
    terms: LateTerms,
    until: date,
    charged: Decimal = NO_MONEY,
) -> Decimal:
    """The late charge on what was open of an invoice day by day, less what was charged for it before.

    A payment stops interest from the day after it; rounded once, half-up; never below zero. Raises
    EntryFault for an invoice that isn't there.
    """
    due = account(entries).invoice(invoice).due
    days = sorted({due, until, *(entry.on for entry in entries if due < entry.on < until)})
    interest = Fraction(0)
    for first, last in zip(days, days[1:], strict=False):
        state = account(entries, as_of=first)
        amount = sum((each.open for each in state.owed if each.key == invoice), NO_MONEY)
        interest += _interest(amount, terms, late_days(max(due, first), last))
    return max(round_cents(interest) - charged, NO_MONEY)


def _interest(amount: Decimal, terms: LateTerms, days: int) -> Fraction:
    return Fraction(amount) * terms.yearly * days / terms.days_in_year


@dataclass(frozen=True)
class Step:
    """A step of the ladder: what is sent, and how many days after the due date."""

    name: str
    days: int


# Invented for the demo; the firm sets its own spacing.
LADDER = (Step("Reminder", 3), Step("Second reminder", 10), Step("Formal demand", 30))


@dataclass(frozen=True)
class Rung:
    """A step with its date for one invoice, and whether that day has come."""

    name: str
    on: date
    has_come: bool


def ladder(due: date, today: date, steps: Iterable[Step] = LADDER) -> tuple[Rung, ...]:
    """The dates on which each step is due for an invoice, earliest first."""
    dated = sorted((due + timedelta(days=step.days), step.name) for step in steps)
    return tuple(Rung(name, on, on <= today) for on, name in dated)


def next_step(rungs: Sequence[Rung], taken: Mapping[str, date], today: date) -> Rung | None:
    """The step after the last one taken; `taken` are days by the steps' names. None after the last.

    No step is left out, so that a demand never comes first. Where one was taken late, the next comes as
    long after it as it would have.
    """
    places = [place for place, rung in enumerate(rungs) if rung.name in taken]
    if not places:
        return rungs[0] if rungs else None
    last = rungs[places[-1]]
    if last == rungs[-1]:
        return None
    following = rungs[places[-1] + 1]
    on = max(following.on, taken[last.name] + (following.on - last.on))
    return Rung(following.name, on, on <= today)


@dataclass(frozen=True)
class NoticeRule:
    """A deadline that the firm has entered for its state and confirmed, as for a lien notice."""

    name: str
    days: int
    from_first_day: bool  # else from the last day of work
    citation: str


@dataclass(frozen=True)
class NoticeDate:
    """The last day for a notice, or None while the day that it counts from isn't known."""

    name: str
    by: date | None
    citation: str


def notice_dates(
    rules: Iterable[NoticeRule], first_work_day: date | None, last_work_day: date | None
) -> tuple[NoticeDate, ...]:
    """Each deadline counted in calendar days; the day counted from is day 0.

    States count and extend differently (weekends, completion, recording), so these are cautions to
    check with local law, never promises.
    """
    return tuple(
        NoticeDate(rule.name, start and start + timedelta(days=rule.days), rule.citation)
        for rule in rules
        for start in [first_work_day if rule.from_first_day else last_work_day]
    )
