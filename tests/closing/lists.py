"""A signed floor with its schedule, and a punch list on it."""

from datetime import date
from decimal import Decimal
from typing import Any

from catalog.models import Firm
from closing.models import PunchListItem
from closing.punch_list.end import issue_certificate, prepare_certificate
from closing.punch_list.read import read_list
from estimating.models import Document, Job
from tests.estimating.issuing import AT, DAY
from tests.estimating.signed_kitchen import sign_on_paper
from tests.factories import make_firm
from tests.invoicing.bills import signed_floor


def floor_with_warranty(months: int = 12, **plan: Any) -> Job:
    """$196.80 signed, with so many months of warranty in its terms, and its schedule in thirds."""
    make_firm(detail="line", warranty_months=months)
    return signed_floor(plan=plan)


def seen(job: Job, text: str = "The door sticks", worth: str | None = None, **values: Any) -> PunchListItem:
    values.setdefault("noted_on", DAY)
    amount = None if worth is None else Decimal(worth)
    return PunchListItem.objects.create(job=job, text=text, worth=amount, **values)


def certificate(job: Job, on: date = DAY) -> Document:
    firm = Firm.current()
    return issue_certificate(prepare_certificate(read_list(job), firm, on), firm, AT)


def end_job(job: Job, on: date = DAY) -> Document:
    """Have the certificate issued and signed on a day."""
    document = certificate(job, on)
    sign_on_paper(document, on)
    return document
