"""What signed jobs want next of their billing, for the progress above a job's pages and for today's list."""

from collections.abc import Sequence
from datetime import date

from estimating.documents.progress_step import ProgressStep
from estimating.models import Job
from invoicing.invoices.billable import Billable, billable_by
from invoicing.invoices.time_and_material import read_time_and_material
from invoicing.ledger.accounts import Books, JobBalance, job_balance, read_books
from invoicing.payment_plan.plan import JobPlan, read_plans

SIGNED, UNDER_WAY, BILLED, PAID = 4, 5, 6, 7  # how many of STAGES of estimating/progress/steps.py are behind
PAGE = "job-money"


def next_steps(jobs: Sequence[Job], today: date) -> dict[int, ProgressStep]:
    """Return the next step of each signed job, by job.

    Costs nine queries at the most, however many jobs, milestones and bills there are.
    """
    books = read_books(*{job.client for job in jobs})
    plans = read_plans(jobs, books)
    time_and_material = read_time_and_material(*(job_plan.contract for job_plan in plans.values()))
    billable = {job_id: billable_by(job_plan, time_and_material) for job_id, job_plan in plans.items()}
    return {job.pk: _next_step(job, plans.get(job.pk), billable.get(job.pk), books, today) for job in jobs}


def _next_step(
    job: Job, job_plan: JobPlan | None, billable: Billable | None, books: Books, today: date
) -> ProgressStep:
    if job_plan is None or billable is None:
        if job.closed:
            return ProgressStep(SIGNED, "", PAGE)
        words = "put the payment schedule right" if job_plan else "set up the payment schedule"
        return ProgressStep(SIGNED, words, PAGE)
    balance = job_balance(books, job, today)
    return ProgressStep(
        _reached(job_plan, billable, balance), _words(job, job_plan, billable, balance, today), PAGE
    )


def _reached(job_plan: JobPlan, billable: Billable, balance: JobBalance) -> int:
    if not billable.status.left:
        return BILLED if balance.open else PAID
    under_way = any(row.reached_on and not row.is_deposit for row in job_plan.milestones)
    return UNDER_WAY if under_way else SIGNED


def _words(job: Job, job_plan: JobPlan, billable: Billable, balance: JobBalance, today: date) -> str:
    late = next((item for item in balance.owed if item.days_late(today)), None)
    if late:
        return f"{late.key} is late: remind the client"
    if job.closed:
        return "money is still open" if balance.open else ""
    if billable.milestones:
        count = len(billable.milestones)
        return (
            f"{billable.milestones[0]} can be billed" if count == 1 else f"{count} milestones can be billed"
        )
    if billable.deposit:
        return "ask for the deposit"
    waiting = (row for row in job_plan.milestones if not row.reached_on and job_plan.left[row.key])
    if milestone := next(waiting, None):
        return f"mark {milestone} complete once it is"
    if billable.retainage:
        return "release what is held back"
    return "money is still open" if balance.open else "all is billed and paid"
