"""A database in which the day on which work begins was kept twice: with the job's days and with its plan."""

from datetime import date
from pathlib import Path

import pytest
from django.core.management import call_command

from estimating.models import Job
from tests.upgrade.put_in import in_place_of_ours

# Made by the code of its day: estimating 0029, jobsite 0004, invoicing 0012.
FILE = Path(__file__).with_name("two_first_days.sqlite3.xz")
ON_DAYS, WITH_PAYMENTS = date(2027, 1, 11), date(2027, 2, 1)


@pytest.mark.one_database
@pytest.mark.django_db(transaction=True)
def test_the_day_set_with_the_days_of_a_job_wins_over_that_of_its_payments(tmp_path: Path) -> None:
    with in_place_of_ours(FILE, tmp_path):
        call_command("migrate", interactive=False, verbosity=0)
        begins = dict(Job.objects.values_list("name", "work_begins_on"))
    assert begins == {"both": ON_DAYS, "days": ON_DAYS, "payments": WITH_PAYMENTS, "none": None}
