"""Sums of clients' accounts, kept so that no page reads all bills ever to show them.

They say nothing that bills and payments don't: `invoicing/ledger/kept_sums.py` works them out from those and
writes them in the transaction that adds one. They are whole cents, so that a database adds them exactly.
"""

from django.db import models

from estimating.models import Client, Document


class KeptAccount(models.Model):
    """A client's account as it stands; without sales tax only `held`.

    `bills` and `payments` count what it was worked out from: as neither ever changes or goes, it is out of
    date where there are more.
    """

    client = models.OneToOneField(Client, models.CASCADE, primary_key=True, related_name="+")
    bills = models.PositiveIntegerField()
    payments = models.PositiveIntegerField()
    billed = models.BigIntegerField()
    credited = models.BigIntegerField()
    paid = models.BigIntegerField()
    refunded = models.BigIntegerField()
    open = models.BigIntegerField()
    credit = models.BigIntegerField()
    held = models.BigIntegerField()

    def __str__(self) -> str:
        return f"Account of {self.client}"


class KeptBill(models.Model):
    """An invoice or credit note, and what is credited, paid and open of it; a credit note is below zero."""

    document = models.OneToOneField(Document, models.CASCADE, primary_key=True, related_name="+")
    client = models.ForeignKey(Client, models.CASCADE, related_name="+")
    dated = models.DateField(db_index=True)
    due = models.DateField(null=True)
    before_tax = models.BigIntegerField()
    taxable = models.BigIntegerField()
    tax = models.BigIntegerField()
    credited = models.BigIntegerField(null=True)
    paid = models.BigIntegerField(null=True)
    open = models.BigIntegerField(null=True)

    def __str__(self) -> str:
        return f"Sums of {self.document}"


class KeptMonth(models.Model):
    """What a client was billed in a month before tax, and sales tax as billed and as it came in."""

    client = models.ForeignKey(Client, models.CASCADE, related_name="+")
    month = models.DateField("first day")
    billed = models.BigIntegerField()
    taxable = models.BigIntegerField()
    tax = models.BigIntegerField()
    tax_paid = models.BigIntegerField()

    class Meta:
        constraints = [models.UniqueConstraint(fields=["month", "client"], name="one_month_of_a_client")]

    def __str__(self) -> str:
        return f"{self.month:%Y-%m} of {self.client}"
