"""Judges a plan by the steps and the calendar alone: it knows nothing of how plans are made."""

from collections.abc import Sequence
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

from estimating.schedule.calendar import WorkCalendar
from estimating.schedule.plan import Piece, Plan
from estimating.schedule.planner import Effort, plan_steps
from estimating.schedule.steps import Step

QUARTER = timedelta(minutes=15)


def planned(
    steps: Sequence[Step],
    calendar: WorkCalendar,
    start: datetime,
    effort: Effort = "first",
    promised: date | None = None,
) -> Plan:
    """Plan, and fail where the plan breaks a rule."""
    plan = plan_steps(steps, calendar, start, effort, promised)
    assert faults(plan, steps, calendar) == []
    return plan


def faults(plan: Plan, steps: Sequence[Step], calendar: WorkCalendar) -> list[str]:
    """Return every rule that a plan breaks, in words."""
    judge = Judge(plan, steps, calendar)
    return [
        *judge.completeness(),
        *judge.hours_of_the_day(),
        *judge.one_worker(),
        *judge.waits(),
        *judge.surfaces(),
        *judge.days_given(),
        *judge.figures(),
    ]


class Judge:
    def __init__(self, plan: Plan, steps: Sequence[Step], calendar: WorkCalendar) -> None:
        self.plan, self.calendar = plan, calendar
        self.steps = {step.key: step for step in steps}
        self.left = [step for step in steps if step.done is None]
        self.unkept = {(unkept.key, unkept.kind) for unkept in plan.unkept}

    def end(self, key: str) -> datetime:
        return self.steps[key].done or self.plan.placed[key].end

    def after(self, moment: datetime, quarters: int) -> datetime:
        """The wall clock when so many quarter hours have passed."""
        if not self.calendar.zone:
            return moment + quarters * QUARTER
        zone = ZoneInfo(self.calendar.zone)
        passed = moment.replace(tzinfo=zone).astimezone(UTC) + quarters * QUARTER
        return passed.astimezone(zone).replace(tzinfo=None)

    def is_open(self, moment: datetime) -> bool:
        """Whether the quarter hour that begins then is worked."""
        day = moment.date()
        special = dict(self.calendar.special)
        hours = self.calendar.week[day.weekday()]
        if day in self.calendar.days_off | self.calendar.holidays:
            hours = None
        hours = special.get(day, hours)
        if hours is None or not hours.opens <= moment.time() < hours.closes:
            return False
        return not any(begin < moment + QUARTER and moment < end for begin, end in self.calendar.blocked)

    def open_quarters(self, begin: datetime, end: datetime) -> int:
        count = 0
        while begin < end:
            count += self.is_open(begin)
            begin += QUARTER
        return count

    def completeness(self) -> list[str]:
        wrong = [] if set(self.plan.placed) == {step.key for step in self.left} else ["not all are placed"]
        for step in self.left:
            placed = self.plan.placed[step.key]
            worked = sum((piece.end - piece.start for piece in placed.pieces), timedelta())
            if worked != step.quarters * QUARTER:
                wrong.append(f"{step.key} has {worked}")
            if placed.pieces and (placed.pieces[0].start, placed.pieces[-1].end) != (
                placed.start,
                placed.end,
            ):
                wrong.append(f"{step.key} starts or ends beside its pieces")
            if placed.start < self.plan.start:
                wrong.append(f"{step.key} is before the start")
        return wrong

    def hours_of_the_day(self) -> list[str]:
        wrong = []
        for step in self.left:
            placed = self.plan.placed[step.key]
            for piece in placed.pieces:
                if self.open_quarters(piece.start, piece.end) * QUARTER != piece.end - piece.start:
                    wrong.append(f"{step.key} is worked when nobody works: {piece}")
            for earlier, later in zip(placed.pieces, placed.pieces[1:], strict=False):
                if self.open_quarters(earlier.end, later.start):
                    wrong.append(f"{step.key} stops though the day isn't over")
            in_one_go = not step.splittable and (step.key, "too_long") not in self.unkept
            if in_one_go and len(placed.pieces) > 1:
                wrong.append(f"{step.key} is in pieces")
        return wrong

    def one_worker(self) -> list[str]:
        pieces: list[Piece] = sorted(
            (piece for placed in self.plan.placed.values() for piece in placed.pieces),
            key=lambda piece: piece.start,
        )
        pairs = zip(pieces, pieces[1:], strict=False)
        return [f"{one.step} and {two.step} at once" for one, two in pairs if two.start < one.end]

    def waits(self) -> list[str]:
        return [
            f"{step.key} doesn't wait for {wait.step}"
            for step in self.left
            for wait in step.after
            if self.plan.placed[step.key].start < self.after(self.end(wait.step), wait.quarters)
        ]

    def surfaces(self) -> list[str]:
        """A user has ended when the closing step starts, or starts when it has dried."""
        wrong = []
        for closer in self.steps.values():
            dry = self.after(self.end(closer.key), closer.dries)
            begun = closer.done or self.plan.placed[closer.key].start
            for user in self.left:
                placed = self.plan.placed[user.key]
                if user.key == closer.key or not user.uses & closer.closes or not closer.dries:
                    continue
                if not (placed.start >= dry or (placed.end <= begun and closer.done is None)):
                    wrong.append(f"{user.key} uses what {closer.key} has wet")
        return wrong

    def days_given(self) -> list[str]:
        wrong = []
        for step in self.left:
            start = self.plan.placed[step.key].start
            if step.not_before and start < step.not_before:
                wrong.append(f"{step.key} is before its day")
            if step.pin is None or (step.key, "pin") in self.unkept:
                continue
            if start.date() != step.pin.day or (step.pin.at and start.time() != step.pin.at):
                wrong.append(f"{step.key} isn't on the day to which it is pinned, and nothing says so")
        return wrong

    def figures(self) -> list[str]:
        plan = self.plan
        last = max((placed.end for placed in plan.placed.values()), default=None)
        wrong = [] if plan.finish == last else [f"the finish is {last}"]
        if last is not None and self.open_quarters(plan.start, last) != plan.makespan:
            wrong.append(f"the makespan is {self.open_quarters(plan.start, last)}, not {plan.makespan}")
        if plan.lower_bound > plan.makespan:
            wrong.append("it ends before it can")
        if plan.proven and plan.lower_bound != plan.makespan and not plan.unkept:
            wrong.append("it isn't proven")
        for placed in plan.placed.values():
            if placed.latest < placed.start:
                wrong.append(f"{placed.key} lies later than it may")
        return wrong
