"""The firm: who it is, how it prices, and the rules that it follows."""

from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import ClassVar

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models

from catalog.fields.model import MarkupField, MoneyField
from catalog.measures.room_measures import DeductRule
from catalog.money.hourly_rate import HourlyRate, Year, rate_from_year
from catalog.money.markup import Markup
from catalog.money.price_age import is_stale
from reading.prepared import first_of, prepared


def first_markup() -> Markup:
    """Return the markup of a firm that has not set its own: 20 %, usual for a handyman (common practice)."""
    return Markup(Decimal("20"), "markup")


class TaxPolicy(models.TextChoices):
    """Who pays sales tax, and on what."""

    CONSUMER = "consumer", "I pay tax at the store; it is a cost inside material"
    MATERIALS = "materials", "I charge tax on the price of materials"
    EVERYTHING = "everything", "I charge tax on the whole price"
    NONE = "none", "No sales tax"


class Openings(models.TextChoices):
    """Which openings are deducted from walls."""

    ALL = "all", "Deduct every opening at its own size"
    ABOVE = "above", "Deduct only openings of at least a size"
    NONE = "none", "Deduct no openings"


class Detail(models.TextChoices):
    """How far the client sees the price broken down."""

    TOTAL = "total", "Total only"
    PHASE = "phase", "A price for each phase"
    LINE = "line", "A price for each line"


class ContingencyOf(models.TextChoices):
    """What a contingency is a share of: the price of the work, or what it costs before markup."""

    PRICE = "price", "of the price"
    COST = "cost", "of your cost"


class Firm(models.Model):
    """The one firm that this site serves."""

    class Units(models.TextChoices):
        US = "us", "Feet and inches"
        METRIC = "metric", "Meters"

    class Paper(models.TextChoices):
        LETTER = "letter", "US Letter"
        A4 = "a4", "A4"

    UNNAMED = "My firm"

    name = models.CharField(max_length=120)
    owner = models.CharField(max_length=120, blank=True)
    license = models.CharField("license or registration", max_length=120, blank=True)
    address = models.TextField(max_length=400, blank=True)
    phone = models.CharField(max_length=40, blank=True)
    email = models.EmailField("e-mail", blank=True)
    units = models.CharField(max_length=6, choices=Units, default=Units.US)
    logo = models.TextField(blank=True)  # an <svg> rebuilt by letterhead.svg_logo, or a JPEG in base 64
    color = models.CharField("your color", max_length=7, blank=True)  # "#1d5a9e"
    paper_size = models.CharField("paper", max_length=6, choices=Paper, default=Paper.LETTER)

    own_pay = MoneyField("your own pay a year", max_digits=12, decimal_places=2, default=0)
    burden = MoneyField("burden a year", max_digits=12, decimal_places=2, default=0)
    overhead = MoneyField("overhead a year", max_digits=12, decimal_places=2, default=0)
    profit_margin = models.DecimalField("profit, % of price", max_digits=5, decimal_places=2, default=0)
    billable_hours = models.PositiveIntegerField("hours you can bill in a year", default=1300)

    labor_rate = MoneyField("labor cost an hour", max_digits=9, decimal_places=2, default=0)
    labor_markup = MarkupField(default=first_markup)
    material_markup = MarkupField(default=first_markup)
    equipment_markup = MarkupField(default=first_markup)
    subcontract_markup = MarkupField(default=first_markup)
    contingency_percent = models.DecimalField(
        "contingency, %",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    contingency_of = models.CharField(
        "contingency is a share", max_length=5, choices=ContingencyOf, default=ContingencyOf.PRICE
    )
    show_contingency = models.BooleanField("show the contingency to the client", default=False)
    minimum_charge = MoneyField("minimum charge for a job", max_digits=9, decimal_places=2, default=0)
    tax_policy = models.CharField("sales tax", max_length=10, choices=TaxPolicy, default=TaxPolicy.CONSUMER)
    tax_percent = models.DecimalField(
        "sales tax, %",
        max_digits=6,
        decimal_places=4,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(30)],
    )

    hours_per_day = models.DecimalField(
        "working hours on site in a day",
        max_digits=4,
        decimal_places=2,
        default=7,
        validators=[MinValueValidator(Decimal("0.5")), MaxValueValidator(24)],
    )
    run_hours = models.DecimalField("hours of one supply run", max_digits=4, decimal_places=2, default=2)
    days_per_run = models.PositiveSmallIntegerField(
        "working days that one supply run serves", default=5, validators=[MinValueValidator(1)]
    )
    visit_hours = models.DecimalField(
        "hours lost on a return visit", max_digits=4, decimal_places=2, default=1
    )

    hours_together_percent = models.DecimalField(
        "how far hours run over together, %",
        max_digits=5,
        decimal_places=2,
        default=Decimal(
            30
        ),  # a judgement: the middle of what estimators of whole projects use (common practice)
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )

    openings = models.CharField(max_length=5, choices=Openings, default=Openings.ALL)
    openings_above_sqft = models.DecimalField(
        "least opening deducted, sq ft", max_digits=6, decimal_places=2, default=0
    )
    cabinets_hide_walls = models.BooleanField("leave out walls behind fixed cabinets", default=False)
    valid_days = models.PositiveSmallIntegerField("days an estimate is valid", default=30)
    code_required_above = MoneyField(
        "ask for a mailed code to sign above", max_digits=12, decimal_places=2, null=True, blank=True
    )
    stale_after_days = models.PositiveSmallIntegerField("prices good for, days", default=90)
    detail = models.CharField(
        "prices that the client sees", max_length=5, choices=Detail, default=Detail.PHASE
    )
    change_markup = MarkupField("markup on what a change buys", default=first_markup)
    change_fee = MoneyField("fee for each change", max_digits=9, decimal_places=2, default=0)
    change_minimum = MoneyField("minimum charge of a change", max_digits=9, decimal_places=2, default=0)
    deduct_keeps_percent = models.DecimalField(
        "kept on deductive changes, %",
        max_digits=5,
        decimal_places=2,
        default=0,
        validators=[MinValueValidator(0), MaxValueValidator(100)],
    )
    assumptions = models.TextField("assumptions on every estimate", max_length=4000, blank=True)
    exclusions = models.TextField("not included on every estimate", max_length=4000, blank=True)
    terms = models.TextField("terms on every estimate", max_length=4000, blank=True)
    warranty_months = models.PositiveSmallIntegerField("warranty on your work, months", default=0)
    tax_permit = models.CharField("sales tax permit number", max_length=60, blank=True)
    pay_within_days = models.PositiveSmallIntegerField("days until an invoice is due", default=7)
    how_to_pay = models.TextField("how to pay, on every invoice", max_length=1000, blank=True)
    pay_link = models.CharField("address of your pay page", max_length=500, blank=True)
    bank_details = models.TextField("bank details, a line each", max_length=1000, blank=True)

    objects: ClassVar[models.Manager["Firm"]]

    class Meta:
        constraints = [
            models.CheckConstraint(condition=models.Q(pk=1), name="one_firm"),
        ]

    def __str__(self) -> str:
        return self.name

    @classmethod
    def current(cls) -> "Firm":
        """Return the firm, created with plain defaults the first time. This costs a query."""
        firm = first_of(_the_firm())
        return firm or cls.objects.get_or_create(pk=1, defaults={"name": cls.UNNAMED})[0]

    @property
    def metric(self) -> bool:
        """Whether the firm works in meters."""
        return self.units == self.Units.METRIC

    @property
    def deduct_rule(self) -> DeductRule:
        """The firm's rule for deducting openings from walls."""
        return deduct_rule(self.openings, self.openings_above_sqft)

    def price_is_stale(self, priced_on: date | None, today: date) -> bool:
        """Tell whether a price was seen too long ago to be trusted, or on a day that isn't known."""
        return is_stale(priced_on, today, self.stale_after_days)

    def target_margin(self) -> Markup | None:
        """Return the profit that the firm aims at, as a margin; None where it names none."""
        return Markup(self.profit_margin, "margin") if self.profit_margin else None

    def hourly_rate(self) -> HourlyRate | None:
        """Return the price of an hour in the year that is stored; None while no year is."""
        own_pay, burden, overhead = self.own_pay.amount, self.burden.amount, self.overhead.amount
        if not (own_pay or burden or overhead) or not self.billable_hours:
            return None
        year = Year(own_pay, burden, overhead, self.profit_margin, Decimal(self.billable_hours))
        return rate_from_year(year)


def deduct_rule(openings: str, above_sqft: Decimal) -> DeductRule:
    """Return the rule for deducting openings that two settings make."""
    return DeductRule(openings, Fraction(above_sqft))


class Wage(models.Model):
    """What an hour of an occupation is paid in an area, as it was published: an orientation, never a rate.

    `month` is that of the figures, as it was published; `low` and `high` leave one in ten below and above.
    """

    area = models.CharField("area", max_length=120)
    code = models.CharField("code of the occupation", max_length=10)
    title = models.CharField("occupation", max_length=120)
    month = models.CharField("month of the figures", max_length=20)
    median = MoneyField("median", max_digits=7, decimal_places=2, null=True, blank=True, default=None)
    low = MoneyField(
        "one in ten is paid less than", max_digits=7, decimal_places=2, null=True, blank=True, default=None
    )
    high = MoneyField(
        "one in ten is paid more than", max_digits=7, decimal_places=2, null=True, blank=True, default=None
    )

    objects: ClassVar[models.Manager["Wage"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["Wage"]]

    class Meta:
        ordering = ["area", "code"]
        constraints = [
            models.UniqueConstraint(fields=["area", "code"], name="a_wage_of_an_occupation_in_an_area")
        ]

    def __str__(self) -> str:
        return f"{self.title}, {self.area}"


@prepared
def _the_firm() -> models.QuerySet[Firm]:
    return Firm.objects.filter(pk=1)
