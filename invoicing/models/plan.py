"""The payment schedule of a job: its milestones, the places of signed changes, planned costs, templates.

Amounts are before sales tax. What a milestone comes to isn't stored: `invoicing/payment_plan/plan.py` works
it out from what was signed, so that the plan can't drift from the contract sum.
"""

from decimal import Decimal
from fractions import Fraction
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalog.fields.model import MoneyField
from catalog.phases import Phase
from estimating.models import ChangeOrder, Document, Job
from invoicing.milestones.plan import MilestoneTerm

MOST_MILESTONES = 20
PERCENT = [MinValueValidator(Decimal(0)), MaxValueValidator(Decimal(100))]


class ChangePlacement(models.TextChoices):
    """Where the money of a signed change goes in the plan."""

    OWN = "own", "A line of its own"
    SPREAD = "spread", "Spread over the milestones that are still to be billed"
    LAST = "last", "With the last milestone"


class PaymentPlan(models.Model):
    """How a job is paid.

    `deposit` is asked for before the work and taken off later bills; a deposit that is simply the first
    payment is a milestone with `is_deposit`. `changes_go` is a ChangePlacement.
    """

    job = models.OneToOneField(Job, models.CASCADE, related_name="payment_plan")
    retainage_percent = models.DecimalField(
        "held back from each bill, %", max_digits=5, decimal_places=2, default=0, validators=PERCENT
    )
    deposit = MoneyField("deposit applied to later bills", max_digits=12, decimal_places=2, default=0)
    changes_go = models.CharField(
        "signed changes", max_length=6, choices=ChangePlacement, default=ChangePlacement.OWN
    )
    special_order = MoneyField(
        "cost of material on special order", max_digits=12, decimal_places=2, default=0
    )
    pays_after_days = models.PositiveSmallIntegerField("days until the client pays a bill", default=0)

    objects: ClassVar[models.Manager["PaymentPlan"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PaymentPlan"]]

    def __str__(self) -> str:
        return f"Payment schedule for {self.job}"

    @property
    def retainage(self) -> Fraction:
        """The share held back from each bill for work, such as 1/20."""
        return Fraction(self.retainage_percent) / 100


class Milestone(models.Model):
    """One milestone: a share of the contract sum in percent, an amount, or (neither) the balance.

    `change` is the signed change order that the milestone was made for, where it was made for one.
    `reached_on` is the day on which its condition was seen to be met.
    """

    plan = models.ForeignKey(PaymentPlan, models.CASCADE, related_name="milestones")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    condition = models.CharField("due when", max_length=300)
    not_covered = models.CharField("what it does not cover", max_length=300, blank=True)
    share_percent = models.DecimalField(
        "share, %", max_digits=7, decimal_places=4, null=True, blank=True, validators=PERCENT
    )
    amount = MoneyField(max_digits=12, decimal_places=2, null=True, blank=True, default=None)
    is_deposit = models.BooleanField("asked for before the work begins", default=False)
    expected_on = models.DateField("expected on", null=True, blank=True)
    reached_on = models.DateField("complete on", null=True, blank=True)
    change = models.OneToOneField(Document, models.PROTECT, related_name="own_milestone", null=True)

    objects: ClassVar[models.Manager["Milestone"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["Milestone"]]

    class Meta:
        ordering = ["plan", "position", "pk"]

    def __str__(self) -> str:
        return self.name

    @property
    def key(self) -> str:
        """The name under which the pure rules and the lines of bills know it."""
        return f"{self.pk}"

    def term(self) -> MilestoneTerm:
        """Return what was agreed of it, for the pure rules."""
        share = None if self.share_percent is None else Fraction(self.share_percent) / 100
        amount = None if self.amount is None else self.amount.amount
        return MilestoneTerm(self.key, self.name, self.condition, share, amount, self.is_deposit)


class MilestonePhoto(models.Model):
    """A photo that shows the condition met, re-encoded so that it holds nothing but the picture."""

    milestone = models.ForeignKey(Milestone, models.CASCADE, related_name="photos")
    content = models.BinaryField()
    sha256 = models.CharField(max_length=64)

    class Meta:
        ordering = ["milestone", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["milestone", "sha256"], name="a_milestone_photo_once"),
        ]

    def __str__(self) -> str:
        return f"Photo of {self.milestone}"


class PlannedChange(models.Model):
    """Where one change is to go once it is signed, if it is to go elsewhere than the plan says.

    A `milestone` that was chosen for it comes before `goes`.
    """

    change = models.OneToOneField(ChangeOrder, models.CASCADE, related_name="planned")
    goes = models.CharField("its money goes to", max_length=6, choices=ChangePlacement)
    milestone = models.ForeignKey(Milestone, models.SET_NULL, related_name="+", null=True)

    def __str__(self) -> str:
        return f"{self.change}: {self.milestone or self.get_goes_display()}"


class PlannedPart(models.Model):
    """The part with one milestone of a change that gives up what was billed of it."""

    change = models.ForeignKey(ChangeOrder, models.CASCADE, related_name="planned_parts")
    milestone = models.ForeignKey(Milestone, models.CASCADE, related_name="+")
    amount = MoneyField(max_digits=12, decimal_places=2)
    taxable = MoneyField(max_digits=12, decimal_places=2, default=0)

    objects: ClassVar[models.Manager["PlannedPart"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PlannedPart"]]

    class Meta:
        ordering = ["change", "pk"]

    def __str__(self) -> str:
        return f"{self.amount} of {self.change} with {self.milestone}"


class PlacedPart(models.Model):
    """The part of a signed change that is billed with one milestone, stored as it was placed.

    `by_measure` marks the part that is billed by hours and receipts; `amount` is then its limit.
    """

    document = models.ForeignKey(Document, models.PROTECT, related_name="placed_parts")
    by_measure = models.BooleanField(default=False)
    milestone = models.ForeignKey(Milestone, models.PROTECT, related_name="placed_parts")
    amount = MoneyField(max_digits=12, decimal_places=2)
    taxable = MoneyField(max_digits=12, decimal_places=2, default=0)

    objects: ClassVar[models.Manager["PlacedPart"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PlacedPart"]]

    class Meta:
        ordering = ["document", "by_measure", "milestone__position", "pk"]
        constraints = [
            models.UniqueConstraint(
                fields=["document", "by_measure", "milestone"], name="one_part_of_a_change_in_a_milestone"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.amount} of {self.document} with {self.milestone}"


class FinishedWork(models.Model):
    """A line of signed work that is finished; `key` is its key in the document's basis."""

    document = models.ForeignKey(Document, models.PROTECT, related_name="finished_work")
    key = models.CharField(max_length=40)
    finished_on = models.DateField()

    class Meta:
        ordering = ["document", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["document", "key"], name="finished_once"),
        ]

    def __str__(self) -> str:
        return f"{self.key} of {self.document}"


class PlannedCost(models.Model):
    """Money that the firm expects to pay out on a day, such as a supplier's deposit.

    With a phase it is part of what the estimate has that phase buy, and is taken off there.
    """

    plan = models.ForeignKey(PaymentPlan, models.CASCADE, related_name="costs")
    says = models.CharField("what for", max_length=80)
    amount = MoneyField(max_digits=12, decimal_places=2)
    on = models.DateField("on")
    phase = models.CharField("part of what is bought to", max_length=10, choices=Phase, blank=True)

    objects: ClassVar[models.Manager["PlannedCost"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PlannedCost"]]

    class Meta:
        ordering = ["plan", "on", "pk"]

    def __str__(self) -> str:
        return self.says


class Pattern(models.Model):
    """A template: a plan stored under a name, to be used on other jobs."""

    name = models.CharField(max_length=80, unique=True)
    retainage_percent = models.DecimalField(max_digits=5, decimal_places=2, default=0, validators=PERCENT)
    changes_go = models.CharField(max_length=6, choices=ChangePlacement, default=ChangePlacement.OWN)

    class Meta:
        ordering = ["name"]

    def __str__(self) -> str:
        return self.name


class PatternStep(models.Model):
    """A milestone of a template: a share in percent, an amount, or (neither) the balance."""

    pattern = models.ForeignKey(Pattern, models.CASCADE, related_name="steps")
    position = models.PositiveSmallIntegerField(default=0)
    name = models.CharField(max_length=80)
    condition = models.CharField(max_length=300)
    not_covered = models.CharField(max_length=300, blank=True)
    share_percent = models.DecimalField(
        max_digits=7, decimal_places=4, null=True, blank=True, validators=PERCENT
    )
    amount = MoneyField(max_digits=12, decimal_places=2, null=True, blank=True, default=None)
    is_deposit = models.BooleanField(default=False)

    objects: ClassVar[models.Manager["PatternStep"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["PatternStep"]]

    class Meta:
        ordering = ["pattern", "position", "pk"]

    def __str__(self) -> str:
        return self.name
