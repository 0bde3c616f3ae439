"""What the client types on his page, and what the firm types to send a paper or to enter a signature."""

from collections.abc import Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from catalog.fields.form import EntryField
from catalog.forms.named import say_plainly
from estimating.client.options import Option
from estimating.client.signature_record import CONSENT, CONSENT_TERMS, plain_name
from estimating.client.uploads import CleanScan, UnreadableScan, clean_scan
from estimating.models import ClientLink, Document

NAME_WANTED = "Type the name of the person who signs."


class NameField(forms.CharField):
    """A name on one line; what can't be seen is taken out."""

    def to_python(self, value: Any) -> str:
        return plain_name(super().to_python(value))


class CodeField(EntryField):
    """Six digits, with spaces between them if he likes."""

    inputmode = "numeric"

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return super().widget_attrs(widget) | {"autocomplete": "one-time-code"}

    def read(self, text: str) -> str:
        code = text.replace(" ", "").replace("-", "")
        if not (code.isascii() and code.isdigit() and len(code) == 6):
            raise ValueError("The code has six digits. Type it as it stands in the mail.")
        return code


class OptionsForm(forms.Form):
    """Which options are taken, by their places on the paper."""

    options = forms.TypedMultipleChoiceField(
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple, label="Options taken"
    )

    def __init__(self, *args: Any, options: Sequence[Option], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["options"].choices = [(each.place, each.title) for each in options]
        say_plainly(self.fields)
        self.fields["options"].error_messages["invalid_choice"] = "One of these isn't on this paper."


class SignForm(OptionsForm):
    seen_total = forms.CharField(widget=forms.HiddenInput, required=False, max_length=20)
    name = NameField(label="Your full name", help_text="Typing it here is your signature.", max_length=120)
    consent = forms.BooleanField(label=CONSENT, help_text=CONSENT_TERMS)
    code = CodeField(label="Code from the mail", required=False, max_length=20)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="sign_%s", **kwargs)
        self.fields["name"].error_messages["required"] = "Type your name: it is your signature."
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["consent"].error_messages["required"] = (
            "Tick this to sign electronically, or ask for the paper to sign by hand."
        )


class DeclineForm(forms.Form):
    reason = forms.CharField(
        label="Why not", max_length=1000, widget=forms.Textarea(attrs={"rows": 3}), strip=True
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="decline_%s", **kwargs)
        say_plainly(self.fields)
        self.fields["reason"].error_messages["required"] = "Say in a few words why not."


class CancelForm(forms.Form):
    """The client cancels what was signed, in his right to do so."""

    name = NameField(label="Your full name", max_length=120)
    sure = forms.BooleanField(label="I hereby cancel this transaction")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="cancel_%s", **kwargs)
        say_plainly(self.fields)
        self.fields["name"].error_messages["required"] = "Type your name."
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["sure"].error_messages["required"] = "Tick this to cancel. Untouched, nothing changes."


class CancellationForm(forms.Form):
    """A cancellation that reached the firm by mail, by hand or otherwise."""

    name = NameField(label="Who canceled", max_length=120)
    on = forms.DateField(
        label="Mailed or handed over on",
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="It counts by this day, not by the day on which it reached you.",
    )
    how = forms.CharField(label="How it came", max_length=200, help_text="By mail, by hand, by e-mail.")

    def __init__(self, *args: Any, signed_on: date, today: date, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="cancellation_%s", **kwargs)
        self.signed_on, self.today = signed_on, today
        say_plainly(self.fields)
        self.fields["name"].error_messages["required"] = "Type the name of the person who canceled."
        self.fields["how"].error_messages["required"] = "Say in a few words how it came."

    def clean_on(self) -> date:
        day: date = self.cleaned_data["on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Type the day on the notice or postmark.")
        if day < self.signed_on:
            raise ValidationError("That is before it was signed. Type the day on the notice or postmark.")
        return day


class AskForm(forms.Form):
    text = forms.CharField(label="Your question", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="ask_%s", **kwargs)
        say_plainly(self.fields)
        self.fields["text"].error_messages["required"] = "Type your question."


class AnswerForm(forms.Form):
    text = forms.CharField(label="Your answer", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="answer_%s", **kwargs)
        say_plainly(self.fields)


class SendForm(forms.Form):
    """To whom a paper goes. The e-mail may be left out where only a link is wanted."""

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    name = NameField(label="Who signs", max_length=120)
    email = forms.EmailField(
        label="E-mail",
        required=False,
        max_length=254,
        help_text="The paper goes here as a PDF, with the link. For a link only, leave it empty.",
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        say_plainly(self.fields)
        self.fields["name"].error_messages["required"] = NAME_WANTED
        self.fields["email"].error_messages["invalid"] = "Type an address such as name@example.com."

    def wants_mail(self) -> bool:
        return "by-link" not in self.data

    def clean(self) -> None:
        if self.wants_mail() and "email" in self.cleaned_data and not self.cleaned_data["email"]:
            self.add_error("email", "Type the address that the mail goes to, or make a link only.")

    def clean_once(self) -> str:
        once = self.cleaned_data["once"]
        if ClientLink.objects.filter(once=once).exists():
            raise ValidationError(
                "This was sent already. The link was shown once; send it anew for another.", code="twice"
            )
        return once


class PaperSignatureForm(OptionsForm):
    """A signature on paper, entered by the firm with a photo or scan of it."""

    name = NameField(label="Who signed", max_length=120)
    signed_on = forms.DateField(label="Signed on", widget=forms.DateInput(attrs={"type": "date"}))
    scan = forms.FileField(
        label="Photo or scan of the signed page", help_text="JPEG, PNG or PDF, at most 10 MB."
    )
    field_order = ("name", "signed_on", "options", "scan")

    def __init__(self, *args: Any, document: Document, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.document, self.today = document, today
        self.fields["name"].error_messages["required"] = NAME_WANTED
        self.fields["scan"].error_messages["required"] = "Choose the photo or scan of the signed page."
        self.fields["scan"].error_messages["empty"] = "The file is empty. Choose the photo again."
        self.fields["scan"].widget.attrs["accept"] = "image/jpeg,image/png,application/pdf"
        if not self.fields["options"].choices:
            del self.fields["options"]

    def clean_signed_on(self) -> date:
        day: date = self.cleaned_data["signed_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Type the day on the paper.")
        if day < self.document.dated:
            raise ValidationError("That is before the paper was dated. Type the day on the paper.")
        return day

    def clean_scan(self) -> CleanScan:
        file: UploadedFile = self.cleaned_data["scan"]
        try:
            return clean_scan(file, file.size or 0)
        except UnreadableScan as error:
            raise ValidationError(str(error)) from error


class WithdrawForm(forms.Form):
    reason = forms.CharField(label="Why", max_length=300)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, auto_id="withdraw_%s", **kwargs)
        say_plainly(self.fields)
