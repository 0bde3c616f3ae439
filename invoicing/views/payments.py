"""Money in: payments, returned payments, refunds."""

from datetime import date
from typing import Any

from estimating.models import Job


def payments_context(job: Job, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    return {}
