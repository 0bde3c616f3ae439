"""What a signed job wants next of its money, for the tape on top of its pages."""

from datetime import date

from django.utils import timezone

from estimating.models import Job
from estimating.tape import Step
from invoicing.accounts import JobMoney, job_money, read_books
from invoicing.bill_lists import CanBill, can_bill
from invoicing.plans import DrawnPlan, read_plan

UNDER_WAY, BILLED, PAID = 4, 5, 6
PAGE = "job-money"


def next_step(job: Job) -> Step:
    """The next step as of today. The number of queries doesn't grow with milestones or bills."""
    drawn = read_plan(job)
    able = can_bill(drawn)
    if drawn is None or able is None:
        words = "put the plan of payments right" if drawn else "draw the plan of payments"
        return Step(UNDER_WAY, words, PAGE)
    today = timezone.localdate()
    money = job_money(read_books(job.client), job, today)
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
