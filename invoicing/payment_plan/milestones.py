"""Milestones of a plan moved, marked reached and removed."""

from collections.abc import Iterable, Sequence
from datetime import date
from hashlib import sha256

from invoicing.milestones.plan import PlanFault
from invoicing.models import Milestone
from invoicing.payment_plan.plan import JobPlan, check_milestones
from invoicing.payment_plan.signed_schedule import STAYS, schedule_is_signed


def move_milestone(milestones: Sequence[Milestone], moved: Milestone, *, up: bool) -> None:
    """Move a milestone up or down by one, and store the order; at the end of the plan it stays."""
    order = list(milestones)
    position = order.index(moved)
    order.insert(max(position + (-1 if up else 1), 0), order.pop(position))
    for position, milestone in enumerate(order):
        milestone.position = position
    Milestone.objects.bulk_update(order, ["position"])


def removal_fault(job_plan: JobPlan, milestone: Milestone) -> str:
    """Return why a milestone must stay in the plan; empty where the others sum to the contract without it."""
    if milestone.change_id is None and schedule_is_signed(job_plan):
        return f"{milestone} stays in the schedule. {STAYS}"
    if milestone.placed_parts.exists():
        return f"{milestone} carries a signed change: it must stay in the schedule."
    try:
        check_milestones(job_plan, [other for other in job_plan.milestones if other != milestone])
    except PlanFault as fault:
        return str(fault)
    return ""


def is_billed(job_plan: JobPlan, milestone: Milestone) -> bool:
    """Return whether a bill names the milestone, credited or not."""
    return any(line.milestone == milestone.key for line in job_plan.history)


def mark_reached(milestone: Milestone, on: date | None, photos: Iterable[bytes] = ()) -> None:
    """Store the day on which the milestone was reached, None for not yet, and photos that show it."""
    Milestone.objects.filter(pk=milestone.pk).update(reached_on=on)
    for content in photos:
        milestone.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults={"content": content})
