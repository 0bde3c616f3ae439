"""What is typed when money comes in, comes back or is given back, and when credit is applied."""

import secrets
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.fields.form import PriceField
from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.money.amounts import format_price
from estimating.documents.clock import NOT_TICKED, TICK
from estimating.models import Document
from estimating.plain_text import day_in_words
from invoicing.forms.days import day_field
from invoicing.milestones.plan import sum_money
from invoicing.models import Payment
from invoicing.receivables.balances import Receivable
from invoicing.receivables.overpayment import overpayment_in_words

LOST_KEY = "Open this page again: it has lost its key."
LONG_AGO = timedelta(days=3653)


def fresh_key() -> str:
    """Return a key for one form as it is shown: sent twice, it counts once."""
    return secrets.token_urlsafe(16)


class ClockForm(forms.Form):
    """What the machine dates: `date_question` asks whether its date is right, where that is in doubt."""

    def __init__(self, *args: Any, date_question: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        if date_question:
            self.fields[TICK] = forms.BooleanField(
                label="The date is right", help_text=date_question, error_messages={"required": NOT_TICKED}
            )


class _DatedForm(ClockForm):
    """A day that isn't to come, and the form's own key."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    on = day_field("Date")

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today
        self.fields["once"].error_messages["required"] = LOST_KEY

    def clean_on(self) -> date:
        on: date = self.cleaned_data["on"]
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
        amount: Decimal = self.cleaned_data["amount"]
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

    def __init__(
        self, *args: Any, owed: Sequence[Receivable], documents: Mapping[str, Document], **kwargs: Any
    ) -> None:
        """Offer all that the client owes, `owed`; `documents` are the invoices by their keys."""
        super().__init__(*args, **kwargs)
        self.open = {f"{documents[item.key].pk}": item.open for item in owed if item.key in documents}
        self.due = sum_money(item.open for item in owed)
        self.documents = {f"{document.pk}": document for document in documents.values()}
        choices = [(key, _invoice_label(self.documents[key], amount)) for key, amount in self.open.items()]
        offer_choices(self, "invoices", choices)
        if not self.open:
            del self.fields["invoices"]
        self.fields["amount"].help_text = f"{format_price(self.due)} is due."

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        amount, chosen = cleaned.get("amount"), cleaned.get("invoices", [])
        due = sum_money(self.open[key] for key in chosen) if chosen else self.due
        if (
            amount
            and not cleaned.get("keep_over")
            and (fault := overpayment_in_words(amount, due, len(chosen)))
        ):
            self.add_error("amount", fault)
        return cleaned

    def chosen(self) -> list[Document]:
        """Return the invoices that were ticked."""
        return [self.documents[key] for key in self.cleaned_data.get("invoices", [])]


def _invoice_label(document: Document, amount: Decimal) -> str:
    return f"{document}, {document.job.name}: {format_price(amount)}"


class ApplyCreditForm(ClockForm):
    """Which open invoice credit is applied to."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    invoice = forms.ChoiceField(label="On which invoice", widget=forms.RadioSelect)

    def __init__(
        self, *args: Any, owed: Sequence[Receivable], documents: Mapping[str, Document], **kwargs: Any
    ) -> None:
        """Offer the open invoices, `owed`; `documents` are the invoices by their keys."""
        super().__init__(*args, **kwargs)
        self.documents = {f"{documents[item.key].pk}": documents[item.key] for item in owed}
        choices = [
            (key, _invoice_label(document, item.open))
            for (key, document), item in zip(self.documents.items(), owed, strict=True)
        ]
        offer_choices(self, "invoice", choices)
        self.fields["invoice"].error_messages["required"] = "Say which invoice it is put on."
        self.fields["once"].error_messages["required"] = LOST_KEY

    def chosen(self) -> Document:
        return self.documents[self.cleaned_data["invoice"]]


class RefundForm(_MoneyForm):
    """Money given back out of what is credit on account."""

    field_order = ("once", "amount", "on", "method", "reference", "note")

    def __init__(self, *args: Any, credit: Decimal, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.credit = credit
        self.fields["amount"].help_text = f"The credit on account is {format_price(credit)}."

    def clean_amount(self) -> Decimal:
        amount = super().clean_amount()
        if amount > self.credit:
            raise ValidationError(
                f"{format_price(amount)} is more than the credit on account of {format_price(self.credit)}. "
                "Type that or less."
            )
        return amount


class VoidPaymentForm(_DatedForm):
    """Why a payment no longer counts; it comes off whole."""

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
