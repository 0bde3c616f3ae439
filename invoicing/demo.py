"""The plan of payments that a job of the demo comes with (invented for the demo)."""

import json
from datetime import timedelta
from decimal import Decimal
from pathlib import Path
from typing import Any

from django.conf import settings

from estimating.models import Job
from invoicing.milestones.templates import Step
from invoicing.models import PlannedCost
from invoicing.payment_plan.plan import draw

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"


def add_plan(name: str, job: Job) -> None:
    """Draw the plan kept beside the job's own file; nothing where there is none. Days count from the day
    on which the job was asked for."""
    path = FIXTURES / f"{name}_plan.json"
    if not path.exists():
        return
    typed = json.loads(path.read_text("utf-8"))
    kept = draw(job, [_step(each) for each in typed["milestones"]])
    kept.starts_on = job.requested_on + timedelta(days=typed["starts_after_days"])
    kept.pays_after_days, kept.changes_go = typed["pays_after_days"], typed["changes_go"]
    kept.save()
    for each in typed["costs"]:
        PlannedCost.objects.create(
            plan=kept,
            says=each["says"],
            amount=Decimal(each["amount"]),
            on=job.requested_on + timedelta(days=each["after_days"]),
            phase=each["phase"],
        )


def _step(typed: dict[str, Any]) -> Step:
    share = typed.pop("share_percent", None)
    return Step(**typed, share_percent=None if share is None else Decimal(share))
