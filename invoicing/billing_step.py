"""What signed jobs want next of their money, for the tape on top of a job's pages and for today's list."""

from collections.abc import Sequence
from datetime import date

from estimating.models import Job
from estimating.progress.steps import Step
from invoicing.invoices.lists import CanBill, can_bill
from invoicing.invoices.time_and_material import measured_changes
from invoicing.ledger.accounts import Books, JobMoney, job_money, read_books
from invoicing.payment_plan.plan import DrawnPlan, read_plans

UNDER_WAY, BILLED, PAID = 4, 5, 6
PAGE = "job-money"


def next_steps(jobs: Sequence[Job], today: date) -> dict[int, Step]:
    """The next step of each signed job, by job. Nine queries at the most, however many jobs, milestones and
    bills there are."""
    books = read_books(*{job.client for job in jobs})
    plans = read_plans(jobs, books)
    measured = measured_changes(*(drawn.agreed for drawn in plans.values()))
    able = {job: can_bill(drawn, measured) for job, drawn in plans.items()}
    return {job.pk: _next_step(job, plans.get(job.pk), able.get(job.pk), books, today) for job in jobs}


def _next_step(job: Job, drawn: DrawnPlan | None, able: CanBill | None, books: Books, today: date) -> Step:
    if drawn is None or able is None:
        words = "put the plan of payments right" if drawn else "draw the plan of payments"
        return Step(UNDER_WAY, words, PAGE)
    money = job_money(books, job, today)
    reached = UNDER_WAY if able.stands.left else PAID
    return Step(reached, _words(drawn, able, money, today), PAGE)


def _words(drawn: DrawnPlan, able: CanBill, money: JobMoney, today: date) -> str:
    late = next((each for each in money.owed if each.days_late(today)), None)
    if late:
        return f"{late.key} is late: remind the client"
    if able.milestones:
        many = len(able.milestones)
        return f"{able.milestones[0]} can be billed" if many == 1 else f"{many} milestones can be billed"
    if able.deposit:
        return "ask for the deposit"
    waiting = next((row for row in drawn.rows if not row.reached_on and drawn.left[row.key]), None)
    if waiting:
        return f"mark {waiting} reached once anyone can see it"
    if able.retainage:
        return "release what is held back"
    return "money is still open" if money.open else "all is billed and paid"
