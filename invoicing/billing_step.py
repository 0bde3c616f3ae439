"""What signed jobs want next of their billing, for the progress above a job's pages and for today's list."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from catalog.phases import Phase
from closing.punch_list.read import Standing, jobs_ended, read_standings
from estimating.contract.work_lines import contract_work_lines
from estimating.documents.progress_step import ProgressStep
from estimating.models import Job
from invoicing.invoices.billable import Billable, billable_by
from invoicing.invoices.time_and_material import read_time_and_material
from invoicing.ledger.accounts import Books, JobBalance, job_balance
from invoicing.ledger.kept_sums import read_job_books
from invoicing.milestones.plan import NO_MONEY
from invoicing.payment_plan.finished_work import finished_days
from invoicing.payment_plan.plan import JobPlan, read_plans

SIGNED, UNDER_WAY, BILLED, PAID = 4, 5, 6, 7  # how many of STAGES of estimating/progress/steps.py are behind
PAGE, LIST = "job-money", "punch-list"


def next_steps(jobs: Sequence[Job], today: date) -> dict[int, ProgressStep]:
    """Return the next step of each signed job, by job.

    Costs fifteen queries at the most, however many jobs, milestones and bills there are.
    """
    books = read_job_books(jobs)
    plans = read_plans(jobs, books)
    time_and_material = read_time_and_material(*(job_plan.contract for job_plan in plans.values()))
    lists = _Lists(read_standings(jobs), jobs_ended(jobs), finished_days(jobs))
    billable = {
        job_id: billable_by(job_plan, time_and_material, lists.worth(job_id))
        for job_id, job_plan in plans.items()
    }
    return {
        job.pk: _next_step(job, plans.get(job.pk), billable.get(job.pk), books, today, lists) for job in jobs
    }


@dataclass(frozen=True)
class _Lists:
    """The punch lists of jobs, the jobs whose end is signed, and the finished lines of their contracts."""

    standings: Mapping[int, Standing]
    ended: Collection[int]
    finished: Collection[tuple[int, str]]

    def worth(self, job: int) -> Decimal:
        return self.standings[job].worth if job in self.standings else NO_MONEY

    def step(self, job: Job, job_plan: JobPlan, billable: Billable) -> str:
        """Return what the punch list of a job wants next; empty where it wants nothing yet, or any more."""
        standing = self.standings.get(job.pk)
        if standing and standing.left:
            return f"{standing.left} item{'' if standing.left == 1 else 's'} left on the punch list"
        if job.pk in self.ended:
            return ""
        if standing:
            return "have the end of the work signed"
        is_due = billable.status.left and self._work_has_ended(job_plan)
        return "walk through the job with the client" if is_due else ""

    def _work_has_ended(self, job_plan: JobPlan) -> bool:
        """Return whether all work is ticked as finished, but for that of the last phase, clean-up."""
        lines = contract_work_lines(job_plan.contract.documents, self.finished)
        return any(line.is_finished for line in lines) and all(
            line.is_finished or line.phase == Phase.CLOSE or not line.hours for line in lines
        )


def _next_step(
    job: Job, job_plan: JobPlan | None, billable: Billable | None, books: Books, today: date, lists: _Lists
) -> ProgressStep:
    if job_plan is None or billable is None:
        if job.closed:
            return ProgressStep(SIGNED, "", PAGE)
        words = "put the payment schedule right" if job_plan else "set up the payment schedule"
        return ProgressStep(SIGNED, words, PAGE)
    balance = job_balance(books, job, today)
    words, page = _words(job, job_plan, billable, balance, today, lists)
    return ProgressStep(_reached(job_plan, billable, balance), words, page)


def _reached(job_plan: JobPlan, billable: Billable, balance: JobBalance) -> int:
    if not billable.status.left:
        return BILLED if balance.open else PAID
    under_way = any(row.reached_on and not row.is_deposit for row in job_plan.milestones)
    return UNDER_WAY if under_way else SIGNED


def _words(
    job: Job, job_plan: JobPlan, billable: Billable, balance: JobBalance, today: date, lists: _Lists
) -> tuple[str, str]:
    """Return what is next, and the page of it: money that can be asked for comes before the punch list."""
    late = next((item for item in balance.owed if item.days_late(today)), None)
    if late:
        return f"{late.key} is late: remind the client", PAGE
    if job.closed:
        return "money is still open" if balance.open else "", PAGE
    if billable.milestones:
        count = len(billable.milestones)
        words = (
            f"{billable.milestones[0]} can be billed" if count == 1 else f"{count} milestones can be billed"
        )
        return words, PAGE
    if billable.deposit:
        return "ask for the deposit", PAGE
    if list_step := lists.step(job, job_plan, billable):
        return list_step, LIST
    waiting = [row for row in job_plan.milestones if not row.reached_on and job_plan.left[row.key]]
    if waiting:
        return f"mark {waiting[0]} complete once it is", PAGE
    if billable.retainage:
        return "release what is held back", PAGE
    return "money is still open" if balance.open else "all is billed and paid", PAGE
