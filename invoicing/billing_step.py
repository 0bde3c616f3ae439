"""What signed jobs want next of their billing, for the progress above a job's pages and for today's list."""

from collections.abc import Sequence
from datetime import date

from closing.punch_list.read import Standing, jobs_ended, read_standings
from estimating.documents.progress_step import ProgressStep
from estimating.models import Job
from invoicing.invoices.billable import Billable, billable_by
from invoicing.invoices.time_and_material import read_time_and_material
from invoicing.ledger.accounts import Books, JobBalance, job_balance, read_books
from invoicing.milestones.plan import NO_MONEY
from invoicing.payment_plan.plan import JobPlan, read_plans

SIGNED, UNDER_WAY, BILLED, PAID = 4, 5, 6, 7  # how many of STAGES of estimating/progress/steps.py are behind
PAGE, LIST = "job-money", "punch-list"


def next_steps(jobs: Sequence[Job], today: date) -> dict[int, ProgressStep]:
    """Return the next step of each signed job, by job.

    Costs eleven queries at the most, however many jobs, milestones and bills there are.
    """
    books = read_books(*{job.client for job in jobs})
    plans = read_plans(jobs, books)
    time_and_material = read_time_and_material(*(job_plan.contract for job_plan in plans.values()))
    lists, ended = read_standings(jobs), jobs_ended(jobs)
    billable = {
        job_id: billable_by(job_plan, time_and_material, lists[job_id].worth if job_id in lists else NO_MONEY)
        for job_id, job_plan in plans.items()
    }
    return {
        job.pk: _next_step(
            job,
            plans.get(job.pk),
            billable.get(job.pk),
            books,
            today,
            _list_step(lists.get(job.pk), job.pk in ended),
        )
        for job in jobs
    }


def _list_step(standing: Standing | None, is_over: bool) -> str:
    """Return what the punch list of a job wants next; empty where it wants nothing, or none was begun."""
    if standing is None:
        return ""
    if standing.left:
        return f"{standing.left} item{'' if standing.left == 1 else 's'} left on the punch list"
    return "" if is_over else "have the end of the work signed"


def _next_step(
    job: Job, job_plan: JobPlan | None, billable: Billable | None, books: Books, today: date, list_step: str
) -> ProgressStep:
    if job_plan is None or billable is None:
        if job.closed:
            return ProgressStep(SIGNED, "", PAGE)
        words = "put the payment schedule right" if job_plan else "set up the payment schedule"
        return ProgressStep(SIGNED, words, PAGE)
    balance = job_balance(books, job, today)
    words, page = _words(job, job_plan, billable, balance, today, list_step)
    return ProgressStep(_reached(job_plan, billable, balance), words, page)


def _reached(job_plan: JobPlan, billable: Billable, balance: JobBalance) -> int:
    if not billable.status.left:
        return BILLED if balance.open else PAID
    under_way = any(row.reached_on and not row.is_deposit for row in job_plan.milestones)
    return UNDER_WAY if under_way else SIGNED


def _words(
    job: Job, job_plan: JobPlan, billable: Billable, balance: JobBalance, today: date, list_step: str
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
    if list_step:
        return list_step, LIST
    waiting = [row for row in job_plan.milestones if not row.reached_on and job_plan.left[row.key]]
    if len(waiting) == 1 and len(job_plan.milestones) > 1 and waiting[0] == job_plan.milestones[-1]:
        return "walk through the job with the client", LIST
    if waiting:
        return f"mark {waiting[0]} complete once it is", PAGE
    if billable.retainage:
        return "release what is held back", PAGE
    return "money is still open" if balance.open else "all is billed and paid", PAGE
