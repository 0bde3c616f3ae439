"""The demo kitchen comes with its plan of five milestones (invented for the demo)."""

from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from demo.load import load_demo
from invoicing.models import PaymentPlan
from invoicing.payment_plan.plan import read_plan

pytestmark = pytest.mark.django_db


def test_the_kitchen_has_five_milestones_that_sum_to_its_estimate_and_the_patch_has_none(
    tmp_path: Path,
) -> None:
    jobs = load_demo(tmp_path, date(2026, 11, 24)).jobs
    job_plan = read_plan(jobs["kitchen"])
    plan, whole = job_plan.plan, job_plan.contract.amount
    amounts = {row.name: plan.amount(row.key) for row in job_plan.milestones}
    assert sum(amounts.values()) == whole
    shares = {name: round(amount * 100 / whole) for name, amount in amounts.items()}
    assert shares == {
        "Deposit at signing": 10,
        "Cabinets delivered": 30,
        "Drywall primed": 20,
        "Cabinets hung": 30,
        "Punch list done": 10,
    }
    (order,) = job_plan.payment_plan.costs.all()
    assert (order.amount.amount, order.phase) == (Decimal("3610.35"), "set")
    starts_on = job_plan.job.work_begins_on
    assert starts_on is not None
    assert order.on < starts_on
    assert read_plan(jobs["patch"]) is None


def test_running_the_demo_again_leaves_the_plan_as_he_has_it(tmp_path: Path) -> None:
    load_demo(tmp_path, date(2026, 11, 24))
    PaymentPlan.objects.all().delete()
    load_demo(tmp_path, date(2026, 11, 24))
    assert not PaymentPlan.objects.exists()
