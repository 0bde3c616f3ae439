"""The payment schedule that a job of the demo comes with."""

import json
from datetime import timedelta
from decimal import Decimal
from typing import Any

from demo.firm import FIXTURES
from estimating.models import Job
from invoicing.milestones.templates import PlanTemplateStep
from invoicing.models import PlannedCost
from invoicing.payment_plan.templates import create_plan


def add_plan(name: str, job: Job) -> None:
    """Make the plan that is kept beside the job's own file; nothing where there is none.

    Its days count from the day on which the job was asked for.
    """
    path = FIXTURES / f"{name}_plan.json"
    if not path.exists():
        return
    values = json.loads(path.read_text("utf-8"))
    payment_plan = create_plan(job, [plan_step(milestone) for milestone in values["milestones"]])
    job.work_begins_on = job.requested_on + timedelta(days=values["starts_after_days"])
    job.save(update_fields=["work_begins_on"])
    payment_plan.pays_after_days = values["pays_after_days"]
    payment_plan.changes_go = values["changes_go"]
    payment_plan.save()
    for cost in values["costs"]:
        PlannedCost.objects.create(
            plan=payment_plan,
            says=cost["says"],
            amount=Decimal(cost["amount"]),
            on=job.requested_on + timedelta(days=cost["after_days"]),
            phase=cost["phase"],
        )


def plan_step(values: dict[str, Any]) -> PlanTemplateStep:
    """Read a milestone of a file; `share_percent` and `amount` are typed."""
    typed: dict[str, Any] = dict(values)
    for name in ("share_percent", "amount"):
        if name in values:
            typed[name] = Decimal(values[name])
    return PlanTemplateStep(**typed)
