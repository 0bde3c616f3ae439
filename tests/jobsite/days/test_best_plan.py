"""The best plan, looked for after the first answer was shown: job by job, once for the same inputs."""

from dataclasses import replace

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from estimating.models import Job
from estimating.schedule.steps import Step
from jobsite.days.kept_steps import as_json, from_json
from jobsite.days.plan import Days, read_days, solve_next
from jobsite.models import KeptPlan, KeptSteps
from tests.estimating.issuing import another_floor, issue_now, painted_floor
from tests.estimating.signed_kitchen import sign_on_paper

pytestmark = pytest.mark.django_db

# In one go each, so that a day of seven hours has room for one only: no simple bound proves that.
ROOMS = ("hall", "bath", "den")


@pytest.fixture
def jobs() -> list[Job]:
    floor = painted_floor()
    estimates = (floor, another_floor(floor))
    for estimate in estimates:
        sign_on_paper(issue_now(estimate))
    planned()
    for row in KeptSteps.objects.all():
        kept = from_json(row.content)
        [work] = kept.facts
        steps = tuple(Step(room, room, 20, work_item=work, splittable=False) for room in ROOMS)
        row.content = as_json(replace(kept, steps=steps))
        row.save()
    return list(planned().inputs.jobs)


def planned() -> Days:
    return read_days(timezone.localdate())


def test_jobs_are_solved_one_after_the_other_and_what_was_found_stays(jobs: list[Job]) -> None:
    first, second = jobs
    assert not planned().plan.proven
    solve_next(timezone.localdate(), second)
    found = planned()
    assert (found.plan.solved, found.next_to_solve(first)) == ({first.pk}, None)
    assert found.next_to_solve(second) == second.pk
    solve_next(timezone.localdate(), second)
    found = planned()
    assert found.plan.solved == {first.pk, second.pk}
    assert found.plan.proven == {first.pk, second.pk}
    kept = KeptPlan.objects.get()
    solve_next(timezone.localdate(), second)
    assert KeptPlan.objects.get().content == kept.content


def test_the_page_shows_the_first_answer_and_asks_for_the_best_by_itself(
    signed_in: Client, jobs: list[Job]
) -> None:
    address, best = reverse("days", args=[jobs[0].pk]), reverse("days-best", args=[jobs[0].pk])
    text = signed_in.get(address).content.decode()
    assert f'hx-post="{best}" hx-trigger="load, submit"' in text
    answer = signed_in.post(best, headers={"HX-Request": "true"})
    assert (answer.status_code, answer.headers["HX-Trigger"]) == (204, "better-found")
    text = signed_in.get(address).content.decode()
    assert best not in text
    assert "No order of the work ends earlier." in text
    assert signed_in.post(reverse("days-best", args=[jobs[1].pk])).headers["Location"] == reverse(
        "days", args=[jobs[1].pk]
    )
