"""Invoices and credit notes: drafted, issued, read."""

from datetime import date
from typing import Any

from estimating.models import Job


def invoices_context(job: Job, today: date) -> dict[str, Any]:
    """What this part of the job's Money page shows."""
    return {}
