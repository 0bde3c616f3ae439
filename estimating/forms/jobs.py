"""The forms of a job and of the client it is for."""

from collections.abc import Iterable
from datetime import date
from decimal import Decimal
from typing import Any, TypeVar

from django import forms
from django.db import transaction

from catalog.fields.form import CountField, NumberField
from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.models import Firm, TaxPolicy
from estimating.documents.billing_hooks import billing
from estimating.models import Client, Job

FIRST_YEAR, LAST_YEAR = 1600, 2100
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
PHONE = forms.TextInput(attrs={"type": "tel", "autocomplete": "off"})
EMAIL = forms.EmailInput(attrs={"autocomplete": "off"})
ADDRESS = forms.Textarea(attrs={"rows": 2, "autocomplete": "off"})
OF_NEW_CLIENT = ("client_name", "client_phone", "client_email", "client_address")


_Row = TypeVar("_Row", Client, Job)


class PlainModelForm(ModelForm[_Row]):
    """A form with plain error messages: those of its `Meta`, and else those that all forms share."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        for name, messages in (self._meta.error_messages or {}).items():
            self.fields[name].error_messages |= messages


def in_a_list(client: Client) -> str:
    """Return a client's name with what tells two of one name apart: "Ana Birch, 555-0121"."""
    street = client.address.partition("\n")[0].strip()
    return ", ".join(filter(None, (client.name, client.phone or client.email or street)))


class ClientForm(PlainModelForm[Client]):
    """Name and address of a client."""

    class Meta:
        model = Client
        fields = ("name", "phone", "email", "address")
        widgets = {"phone": PHONE, "email": EMAIL, "address": ADDRESS}
        error_messages = {"name": {"required": "Type the client's name."}}


class JobForm(PlainModelForm[Job]):
    """A job that exists: all that is known of it, and whether it is put away."""

    year_built = CountField(
        label="Year the house was built",
        least=FIRST_YEAR,
        most=LAST_YEAR,
        required=False,
        help_text="Before 1978, or not known, the federal lead-paint rule (40 CFR 745) may bind.",
    )
    tax_policy = forms.ChoiceField(label="How it is charged", choices=TaxPolicy, widget=forms.RadioSelect)
    tax_percent = NumberField(label="Sales tax, %", most=Decimal(30), places=4)

    class Meta:
        model = Job
        fields: tuple[str, ...] = (
            "client",
            "name",
            "address",
            "state",
            "year_built",
            "requested_on",
            "quote_due_on",
            "tax_policy",
            "tax_percent",
            "notes",
            "closed",
        )
        widgets = {
            "address": ADDRESS,
            "requested_on": DAY,
            "quote_due_on": DAY,
            "notes": forms.Textarea(attrs={"rows": 3}),
        }
        labels = {
            "client": "For",
            "closed": "Closed: done or not coming, off the list of Today",
        }
        help_texts = {
            "name": "What you call it, such as Kitchen or Upstairs bath.",
            "state": "For cautions about deposits and bills; they never change a number.",
        }
        error_messages = {
            "name": {"required": "Type what you call the job."},
            "address": {"required": "Type where the work is."},
            "requested_on": {"required": "Pick the day it was asked for."},
        }

    def __init__(self, *args: Any, clients: Iterable[Client] | None = None, **kwargs: Any) -> None:
        """Make the form; `clients` are those to choose from, all without it. Any other is taken, too."""
        super().__init__(*args, **kwargs)
        field = self.fields["client"]
        assert isinstance(field, forms.ModelChoiceField)
        if clients is not None:
            first = [("", field.empty_label)] if field.empty_label else []
            field.choices = [*first, *((client.pk, in_a_list(client)) for client in clients)]

    def save(self, commit: bool = True) -> Job:
        """Store the job; where it is another client's now, so is what was billed of it."""
        with transaction.atomic():
            job: Job = super().save(commit)
            before = self.initial.get("client")
            if "client" in self.changed_data and isinstance(before, int):
                billing().client_changed(before, job.client_id)
        return job

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        asked, due = cleaned.get("requested_on"), cleaned.get("quote_due_on")
        if asked and due and due < asked:
            self.add_error("quote_due_on", "The estimate is promised for a day before it was asked for.")
        return cleaned


class NewJobForm(JobForm):
    """A new job, for a known client or one typed here; the firm's tax rule and today's date are filled in."""

    client = forms.ModelChoiceField(
        Client.objects.all(), required=False, label="For", empty_label="A new client, typed below"
    )
    client_name = forms.CharField(label="Name", max_length=120, required=False)
    client_phone = forms.CharField(label="Phone", max_length=40, required=False, widget=PHONE)
    client_email = forms.EmailField(label="E-mail", required=False, widget=EMAIL)
    client_address = forms.CharField(label="Address", max_length=400, required=False, widget=ADDRESS)

    class Meta(JobForm.Meta):
        fields = tuple(name for name in JobForm.Meta.fields if name != "closed")

    def __init__(self, *args: Any, firm: Firm, today: date | None, **kwargs: Any) -> None:
        from_firm = {
            "tax_policy": firm.tax_policy,
            "tax_percent": firm.tax_percent,
            "requested_on": today,
            "year_built": None,
        }
        kwargs["initial"] = {**from_firm, **kwargs.get("initial", {})}
        super().__init__(*args, **kwargs)
        self.order_fields(["client", *OF_NEW_CLIENT])
        self.fields["address"].required = False
        self.fields["address"].help_text = "Left empty: the client's address."

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean()
        known, new_name = cleaned.get("client"), cleaned.get("client_name")
        if "client" not in self.errors and "client_name" not in self.errors:
            if known and new_name:
                self.add_error(
                    "client_name", f"{known.name} is picked above: empty this, or pick a new client there."
                )
            elif not known and not new_name:
                self.add_error("client_name", "Pick a client above, or type the name of a new one here.")
        if "address" not in self.errors and not cleaned.get("address"):
            cleaned["address"] = known.address if known else cleaned.get("client_address", "")
            if not cleaned["address"] and "client_address" not in self.errors:
                self.add_error("address", "Type where the work is: there is no client's address to take.")
        return cleaned

    @transaction.atomic
    def save(self, commit: bool = True) -> Job:
        """Store the job, and before it a client who is new."""
        cleaned = self.cleaned_data
        self.instance.client = cleaned["client"] or Client.objects.create(
            **{name: cleaned[f"client_{name}"] for name in ("name", "phone", "email", "address")}
        )
        return super().save(commit)
