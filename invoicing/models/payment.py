"""Money that came in, came back or was paid out.

The database refuses to change or delete these rows: a mistake is voided by a row of its own.
"""

from decimal import Decimal
from typing import ClassVar

from django.db import models
from django.urls import reverse

from catalog.fields.model import MoneyField
from catalog.money.amounts import format_price
from estimating.models import Client, Document, Job


class Payment(models.Model):
    """One movement of money on a client's account.

    `of` is the payment that a RETURN voids, whole. A CREDIT_USED moves no money: it applies credit that is
    held to the invoice that it is for. `once` is the key of the form that was sent, so that a double tap
    makes one row. `place` is the number of the firm's last event when the row was made: entries of one day
    keep the order in which they came.
    """

    class Kind(models.TextChoices):
        PAYMENT = "payment", "Payment"
        RETURN = "return", "Payment voided"
        REFUND = "refund", "Refund"
        CREDIT_USED = "put", "Credit used"

    class Method(models.TextChoices):
        CHECK = "check", "Check"
        CASH = "cash", "Cash"
        CARD = "card", "Card"
        TRANSFER = "transfer", "Bank transfer"
        OTHER = "other", "Other"

    class Why(models.TextChoices):
        BANK = "bank", "The bank returned it"
        MISTAKE = "mistake", "I entered it wrong"

    client = models.ForeignKey(Client, models.PROTECT, related_name="+")
    job = models.ForeignKey(Job, models.PROTECT, related_name="+", null=True)
    kind = models.CharField(max_length=7, choices=Kind, default=Kind.PAYMENT)
    on = models.DateField("date")
    amount = MoneyField(max_digits=14, decimal_places=2)
    method = models.CharField("how", max_length=8, choices=Method)
    reference = models.CharField("check or reference number", max_length=60, blank=True)
    note = models.CharField("note", max_length=200, blank=True)
    why = models.CharField(max_length=7, choices=Why, blank=True)
    of = models.OneToOneField("self", models.PROTECT, related_name="taken_back", null=True)
    place = models.PositiveBigIntegerField()
    once = models.CharField(max_length=64, unique=True)
    entered_at = models.DateTimeField()

    objects: ClassVar[models.Manager["Payment"]]  # made by django-money
    _default_manager: ClassVar[models.Manager["Payment"]]

    class Meta:
        ordering = ["-on", "-pk"]
        constraints = [
            models.CheckConstraint(condition=models.Q(amount__gt=Decimal(0)), name="money_that_moved"),
            models.CheckConstraint(
                condition=models.Q(kind="return", of__isnull=False)
                | (~models.Q(kind="return") & models.Q(of=None)),
                name="a_return_names_its_payment",
            ),
        ]

    def __str__(self) -> str:
        return f"{_KIND_LABELS[self.kind]} {self.pk}"

    def get_absolute_url(self) -> str:
        return reverse("payment", args=[self.pk])

    @property
    def is_payment(self) -> bool:
        return self.kind == self.Kind.PAYMENT

    @property
    def is_refund(self) -> bool:
        return self.kind == self.Kind.REFUND

    def bank_amount(self) -> Decimal:
        """Return what it adds to the money in the bank: below zero for what went out."""
        if self.kind == self.Kind.CREDIT_USED:
            return Decimal("0.00")
        return self.amount.amount if self.is_payment else -self.amount.amount

    def amount_in_words(self) -> str:
        """Format the amount: "$1,234.50"."""
        return format_price(self.amount.amount)

    def method_in_words(self) -> str:
        """Say how it was paid: "Check 1042"."""
        if self.kind == self.Kind.CREDIT_USED:
            return f"{self.amount_in_words()} out of what was held"
        return f"{_METHOD_LABELS.get(self.method, '')} {self.reference}".strip()


_KIND_LABELS = dict(Payment.Kind.choices)  # quicker than Django's look-up, in lists of thousands
_METHOD_LABELS = dict(Payment.Method.choices)


class PaymentFor(models.Model):
    """An invoice that a payment is for. Without any, it pays the oldest first."""

    payment = models.ForeignKey(Payment, models.PROTECT, related_name="meant_for")
    invoice = models.ForeignKey(Document, models.PROTECT, related_name="+")

    class Meta:
        ordering = ["payment", "pk"]
        constraints = [
            models.UniqueConstraint(fields=["payment", "invoice"], name="a_payment_names_an_invoice_once"),
        ]

    def __str__(self) -> str:
        return f"{self.payment} for {self.invoice}"
