"""A job's plan made from the steps of a template, and a plan saved as a template."""

from collections.abc import Sequence

from django.db import transaction

from estimating.models import Job
from invoicing.milestones.plan import milestone_amounts
from invoicing.milestones.templates import PlanTemplateStep
from invoicing.models import Milestone, Pattern, PatternStep, PaymentPlan
from invoicing.payment_plan.changes import place_signed_changes
from invoicing.payment_plan.contract import read_contract
from invoicing.payment_plan.plan import JobPlan


def create_plan(job: Job, steps: Sequence[PlanTemplateStep], template: Pattern | None = None) -> PaymentPlan:
    """Store a new plan of these steps, and place the changes that are signed already in it.

    A template gives its retainage and its placement of changes. Raises PlanFault where the steps can't sum to
    what was signed.
    """
    terms = [step.term(f"{position}") for position, step in enumerate(steps)]
    milestone_amounts(read_contract(job).amount, terms)
    with transaction.atomic():
        payment_plan = PaymentPlan.objects.create(job=job)
        if template:
            payment_plan.retainage_percent = template.retainage_percent
            payment_plan.changes_go = template.changes_go
            payment_plan.save()
        for position, step in enumerate(steps):
            Milestone.objects.create(plan=payment_plan, position=position, **vars(step))
        place_signed_changes(job)
    return payment_plan


def template_steps(template: Pattern) -> list[PlanTemplateStep]:
    """Return the steps of a saved template. Costs a query."""
    return [_step(row) for row in template.steps.all()]


def save_template(job_plan: JobPlan, name: str) -> Pattern:
    """Save the plan's milestones under a name, without those of single changes."""
    payment_plan = job_plan.payment_plan
    template = Pattern.objects.create(
        name=name, retainage_percent=payment_plan.retainage_percent, changes_go=payment_plan.changes_go
    )
    for position, milestone in enumerate(job_plan.own_milestones):
        PatternStep.objects.create(pattern=template, position=position, **vars(_step(milestone)))
    return template


def _step(row: Milestone | PatternStep) -> PlanTemplateStep:
    amount = None if row.amount is None else row.amount.amount
    return PlanTemplateStep(
        row.name, row.condition, row.not_covered, row.share_percent, amount, row.is_deposit
    )
