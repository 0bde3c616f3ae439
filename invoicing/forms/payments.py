"""What he types when money comes in, comes back or is given back."""

import secrets
from collections.abc import Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import PriceField
from catalog.forms.named import DAY, say_plainly
from catalog.money.amounts import format_price
from estimating.models import Document
from estimating.plain_text import day_in_words
from invoicing.ledger.accounts import sum_of
from invoicing.milestones.amount_messages import over_in_words
from invoicing.models import Payment
from invoicing.receivables.balances import Owed

LOST_KEY = "Open this page again: it has lost its key."
LONG_AGO = timedelta(days=3653)


def fresh_key() -> str:
    """A key for one form as it is shown: sent twice, it counts once."""
    return secrets.token_urlsafe(16)


class _DatedForm(forms.Form):
    """A day that isn't to come, and the form's own key."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    on = forms.DateField(label="Date", widget=forms.DateInput(attrs=DAY, format="%Y-%m-%d"))

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        say_plainly(self.fields)
        self.fields["once"].error_messages["required"] = LOST_KEY

    def clean_on(self) -> date:
        on = self.cleaned_data["on"]
        if on > self.today:
            raise ValidationError(
                f"{day_in_words(on)} is still to come. Enter money on the day it moved, today or before."
            )
        if self.today - on > LONG_AGO:
            raise ValidationError(f"{day_in_words(on)} is more than ten years ago: check the year.")
        return on


class _MoneyForm(_DatedForm):
    amount = PriceField(label="Amount")
    method = forms.ChoiceField(label="How", choices=Payment.Method, widget=forms.RadioSelect)
    reference = forms.CharField(label="Check or reference number", max_length=60, required=False)
    note = forms.CharField(label="Note, for you only", max_length=200, required=False)

    def clean_amount(self) -> Decimal:
        amount = self.cleaned_data["amount"]
        if not amount:
            raise ValidationError("Type an amount above zero, such as 250.00.")
        return amount


class PaymentForm(_MoneyForm):
    """A payment for the invoices that are ticked, else for the oldest first."""

    invoices = forms.MultipleChoiceField(
        label="For",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None ticked: the oldest first.",
    )
    keep_over = forms.BooleanField(label="Keep what is over as credit", required=False)
    field_order = ("once", "amount", "keep_over", "on", "method", "reference", "invoices", "note")

    def __init__(self, *args: Any, owed: Sequence[Owed], documents: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.open = {f"{documents[each.key].pk}": each.open for each in owed if each.key in documents}
        self.due = sum_of(each.open for each in owed)
        self.documents = {f"{each.pk}": each for each in documents.values()}
        self.fields["invoices"].choices = [
            (key, _choice(self.documents[key], amount)) for key, amount in self.open.items()
        ]
        if not self.open:
            del self.fields["invoices"]
        self.fields["amount"].help_text = f"{format_price(self.due)} is due."

    def clean(self) -> dict[str, Any]:
        typed = super().clean()
        amount, chosen = typed.get("amount"), typed.get("invoices", [])
        due = sum_of(self.open[key] for key in chosen) if chosen else self.due
        if amount and not typed.get("keep_over") and (says := over_in_words(amount, due, len(chosen))):
            self.add_error("amount", says)
        return typed

    def chosen(self) -> list[Document]:
        return [self.documents[key] for key in self.cleaned_data.get("invoices", [])]


def _choice(document: Document, amount: Decimal) -> str:
    return f"{document}, {document.job.name}: {format_price(amount)}"


class PutForm(forms.Form):
    """Which open invoice what is held as credit is put on."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    invoice = forms.ChoiceField(label="On which invoice", widget=forms.RadioSelect)

    def __init__(self, *args: Any, owed: Sequence[Owed], documents: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.documents = {f"{documents[each.key].pk}": documents[each.key] for each in owed}
        self.fields["invoice"].choices = [
            (key, _choice(self.documents[key], each.open))
            for key, each in zip(self.documents, owed, strict=True)
        ]
        self.fields["invoice"].error_messages["required"] = "Say which invoice it is put on."
        self.fields["once"].error_messages["required"] = LOST_KEY

    def chosen(self) -> Document:
        return self.documents[self.cleaned_data["invoice"]]


class RefundForm(_MoneyForm):
    """Money given back out of what is held as credit."""

    field_order = ("once", "amount", "on", "method", "reference", "note")

    def __init__(self, *args: Any, credit: Decimal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.credit = credit
        self.fields["amount"].help_text = f"{format_price(credit)} is held as credit."

    def clean_amount(self) -> Decimal:
        amount = super().clean_amount()
        if amount > self.credit:
            raise ValidationError(
                f"{format_price(amount)} is more than the {format_price(self.credit)} held as credit. "
                "Type that or less."
            )
        return amount


class TakeBackForm(_DatedForm):
    """Why a payment counts no more; it comes off whole."""

    why = forms.ChoiceField(label="What happened", choices=Payment.Why, widget=forms.RadioSelect)
    note = forms.CharField(label="Note, for you only", max_length=200, required=False)
    field_order = ("once", "why", "on", "note")

    def __init__(self, *args: Any, payment: Payment, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.payment = payment

    def clean_on(self) -> date:
        on = super().clean_on()
        if on < self.payment.on:
            raise ValidationError(
                f"It came in on {day_in_words(self.payment.on)}: it can't come back before that."
            )
        return on
