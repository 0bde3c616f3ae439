"""Billing in processes of its own, for tests: `python -m tests.invoicing.billing_process race`.

Prints as JSON what it left in the database, which the environment names as it does for the site.
"""

import contextlib
import json
import os
import sys
from collections.abc import Mapping
from datetime import timedelta
from functools import partial
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.db import connections  # noqa: E402

from estimating.documents.issue import CannotIssue  # noqa: E402
from estimating.documents.pdf import make_pdf  # noqa: E402
from estimating.models import Document, Job  # noqa: E402
from estimating.verification.documents import faults  # noqa: E402
from invoicing.invoices.issue import issue_bill  # noqa: E402
from invoicing.invoices.job_billing import read_job_billing  # noqa: E402
from invoicing.invoices.prepare import bill_to_issue  # noqa: E402
from invoicing.ledger.history import billed_lines  # noqa: E402
from invoicing.models import BillDraft, Billed  # noqa: E402
from tests.estimating.issuing import AT, DAY  # noqa: E402
from tests.estimating.issuing_process import PROCESSES, THREADS, all_at_once  # noqa: E402
from tests.factories import make_firm  # noqa: E402
from tests.invoicing.bills import PAY_BY, billed, credited, draft, ready, signed_floor  # noqa: E402

SIXTEEN = PROCESSES * THREADS


def left(job: Job) -> dict[str, Any]:
    """What the database holds of the job's bills."""
    bills = Document.objects.filter(job=job, kind__in=("invoice", "credit_note")).order_by("pk")
    found = {
        "bills": [str(bill) for bill in bills],
        "totals": [f"{bill.total.amount}" for bill in bills],
        "places": list(Billed.objects.order_by("place").values_list("place", flat=True)),
        "billed": f"{sum(line.amount for line in billed_lines(job))}",
        "faults": list(faults()),
    }
    connections.close_all()
    return found


def race() -> Mapping[str, Any]:
    """Two bill one milestone at once, then sixteen, each due on a day of its own; then four take the first
    bill back."""
    job = signed_floor()
    begun = draft(job, "Begun")
    make_pdf(ready(begun).snapshot)  # so that each child finds the renderer warm
    all_at_once([lambda: _bill(begun, 0), lambda: _bill(begun, 1)])
    two = left(job)
    begun = draft(job, "First coat")
    all_at_once([partial(_bill, begun, days) for days in range(SIXTEEN)])
    sixteen = left(job)
    first = Document.objects.get(kind="invoice", number=1001)
    all_at_once([lambda: _credit(first)] * 4)
    credited_once = left(job)
    billed(job, "Begun", "Done")
    return {"two": two, "sixteen": sixteen, "credited": credited_once, "all": left(job)}


def _bill(begun: BillDraft, days: int) -> None:
    """As from a tab of one's own: due on a day of its own."""
    begun = BillDraft(pk=begun.pk, job=begun.job, kind=begun.kind, due_on=PAY_BY + timedelta(days=days))
    with contextlib.suppress(CannotIssue):
        to_issue = bill_to_issue(begun, read_job_billing(begun.job), make_firm(), DAY)
        issue_bill(begun, to_issue.unissued, AT)


def _credit(invoice: Document) -> None:
    with contextlib.suppress(CannotIssue):
        credited(invoice)


if __name__ == "__main__":
    print(json.dumps({"race": race}[sys.argv[1]]()))
