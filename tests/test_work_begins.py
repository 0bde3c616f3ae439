"""The migrations that keep the day on which work begins once, with the job: old rows are moved."""

from collections.abc import Iterator
from datetime import date

import pytest
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor

from estimating.models import Job
from tests.factories import make_job

pytestmark = pytest.mark.django_db(transaction=True)

BEFORE = [
    ("estimating", "0029_photos_of_an_estimate"),
    ("jobsite", "0004_words_of_the_trade"),
    ("invoicing", "0012_words_of_the_trade"),
]
ON_DAYS, WITH_PAYMENTS = date(2027, 1, 11), date(2027, 2, 1)


@pytest.fixture
def jobs() -> Iterator[list[int]]:
    """Jobs that have both days, only one of the two, or none; the database comes forward at the end."""
    pks = [make_job(name=name).pk for name in ("both", "days", "payments", "none")]
    yield pks
    call_command("migrate", verbosity=0, skip_checks=True)


def test_the_day_set_with_the_days_of_a_job_wins_over_that_of_its_payments(jobs: list[int]) -> None:
    both, days, payments, _ = jobs
    executor = MigrationExecutor(connection)
    executor.migrate(BEFORE)
    old = executor.loader.project_state(BEFORE).apps
    job_days, plan = old.get_model("jobsite", "JobDays"), old.get_model("invoicing", "PaymentPlan")
    for job in (both, days):
        job_days.objects.create(job_id=job, not_before=ON_DAYS)
    job_days.objects.create(job_id=payments)
    for job in (both, payments):
        plan.objects.create(job_id=job, starts_on=WITH_PAYMENTS)
    plan.objects.create(job_id=days)

    call_command("migrate", verbosity=0, skip_checks=True)
    begins = dict(Job.objects.values_list("pk", "work_begins_on"))
    assert [begins[job] for job in jobs] == [ON_DAYS, ON_DAYS, WITH_PAYMENTS, None]
