"""What a change that is being written does to the end of its job."""

from dataclasses import dataclass, replace
from datetime import date

from catalog.models import Firm
from estimating.estimates.draft import read_draft
from estimating.models import ChangeLine, ChangeOrder
from estimating.schedule.from_work import steps_of_work
from jobsite.days.inputs import Inputs, read_inputs
from jobsite.days.kept_steps import JobSteps, WorkFacts
from jobsite.days.plan import make_plan

ADDED = -1  # stands for the document that the change will be


@dataclass(frozen=True)
class FinishWithChange:
    """The day on which a job ends without a change and with it, both by one run of the list rule."""

    before: date
    after: date

    @property
    def moves(self) -> bool:
        return self.before != self.after


def finish_with_change(change: ChangeOrder, today: date) -> FinishWithChange | None:
    """Return what a change does to the end of its job; None where the job isn't planned.

    The work that it adds is planned beside that of the contract, on the surfaces that both use, and begins
    no earlier than the client can no longer cancel; work that it takes out is left out. Costs the queries of
    the plan and those of a draft.
    """
    inputs = read_inputs(today)
    if change.job_id not in inputs.steps or change.is_signed():
        return None
    before = make_plan(inputs, "list").finish(change.job_id)
    after = make_plan(_with(inputs, change), "list").finish(change.job_id)
    return FinishWithChange(before, after) if before and after else None


def _with(inputs: Inputs, change: ChangeOrder) -> Inputs:
    job = inputs.steps[change.job_id]
    taken_out = set(change.lines.filter(kind=ChangeLine.Kind.TAKEN_OUT).values_list("document_id", "key"))
    gone = {key for key, facts in job.facts.items() if facts.place in taken_out}
    kept = [step for step in job.steps if step.work_item not in gone]
    left = {step.key for step in kept}
    kept = [replace(step, after=tuple(wait for wait in step.after if wait.step in left)) for step in kept]
    items = read_draft(change.estimate, Firm.current(), "first").take_off.items_in_sum
    facts = {
        item.work.key: WorkFacts(item.work.title, item.work.phase, ADDED, item.work.key) for item in items
    }
    added = steps_of_work(items, f"{change.job_id}")
    with_change = JobSteps(job.job, (*kept, *added), {**job.facts, **facts})
    cancelable = [day for row in job.facts.values() if (day := inputs.cancelable_to.get(row.document))]
    return replace(
        inputs,
        steps={**inputs.steps, change.job_id: with_change},
        cancelable_to={**inputs.cancelable_to, **({ADDED: max(cancelable)} if cancelable else {})},
    )
