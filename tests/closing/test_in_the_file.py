"""The end of a job in its whole file: what was chosen, allowed, seen, done and called back for."""

from typing import Any

import pytest
from django.utils import timezone

from catalog.models import Firm
from closing.models import Installed
from closing.punch_list.write import close_item
from estimating.models import Job
from invoicing.bookkeeping.job_file import job_file
from jobsite.models import CallBack, Choice, LeadRecord, OutsideEvent, Permit, PermitPhoto
from tests.closing.lists import end_job, floor_with_warranty, seen
from tests.estimating.issuing import DAY
from tests.estimating.signed_kitchen import photo

pytestmark = pytest.mark.django_db
PICTURE = photo(400).getvalue()


@pytest.fixture
def job() -> Job:
    return floor_with_warranty()


def file_of(job: Job) -> dict[str, Any]:
    return job_file(job, Firm.current(), DAY)


def test_the_list_stands_in_it_with_small_photos_and_what_became_of_each(job: Job) -> None:
    close_item(seen(job, "The door sticks", "25.00"), DAY, [PICTURE])
    seen(job, "Grout is missing", "30.00")
    seen(job, "A shelf", whose="wish", answer="Not in the price.")
    door, grout, shelf = file_of(job)["punch_list"]
    assert door["facts"] == ["seen Tue 24 Nov 2026", "done Tue 24 Nov 2026"]
    assert [each["says"] for each in door["photos"]] == ["Done"]
    assert grout["facts"][1:] == ["open", "$30.00 held for it"]
    assert (shelf["facts"][1:], shelf["answer"]) == (["declined"], "Not in the price.")


def test_permits_call_backs_choices_and_the_papers_of_the_end_stand_in_it(job: Job) -> None:
    permit = Permit.objects.create(job=job, what="Plumbing", number="P-7", issued_on=DAY)
    PermitPhoto.objects.create(permit=permit, content=PICTURE, sha256="1")
    kind, passed = OutsideEvent.Kind.INSPECTION, OutsideEvent.Result.PASSED
    OutsideEvent.objects.create(job=job, permit=permit, kind=kind, title="Rough-in", on=DAY, result=passed)
    for shown_at in (timezone.now(), None):
        row = Choice.objects.create(job=job, what="Wall color", shown_at=shown_at)
        row.offers.create(title="Chalk")
    LeadRecord.objects.create(job=job, renovator="Wren Tolliver")
    Installed.objects.create(job=job, name="Pulls", color="Brass")
    end_job(job)
    CallBack.objects.create(job=job, on=DAY, says="The door sticks again")
    whole = file_of(job)
    (kept,) = whole["permits"]
    assert (kept["name"], kept["facts"]) == ("Plumbing, P-7", ["given on Tue 24 Nov 2026"])
    assert kept["inspections"] == ["Rough-in, Tue 24 Nov 2026, Passed"]
    assert kept["photos"]
    assert [(each["what"], each["offers"]) for each in whole["choices"]] == [
        ("Wall color", ["Chalk (is in the price)"])  # what the client wasn't shown is no record
    ]
    assert whole["call_backs"][0]["took"] == "not been there yet"
    articles = [part["article"] for part in whole["parts"]]
    assert articles[-2:] == ["documents/_lead_record.html", "documents/_care.html"]
    assert "documents/_completion.html" in articles
