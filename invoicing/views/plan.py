"""The plan of payments: drawn, edited, and its milestones marked reached."""

from datetime import date
from typing import Any

from estimating.models import Job


def plan_context(job: Job, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    return {}
