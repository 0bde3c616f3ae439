"""The forms of the client's page, and those by which the firm sends a document or enters a signature."""

import re
from collections.abc import Collection, Mapping, Sequence
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import UploadedFile

from catalog.fields.form import EntryField
from catalog.forms.model_form import offer_choices, set_plain_messages
from estimating.client.options import NOT_ON_DOCUMENT, Option, OptionLocked
from estimating.client.signature_record import CONSENT, CONSENT_TERMS, plain_name
from estimating.client.uploads import CleanScan, UnreadableScan, clean_scan
from estimating.models import ClientLink, Document

# Lines through points of whole numbers, from corner to corner of the field that is signed in.
STROKES = re.compile(r"(?:M\d{1,3} \d{1,3}(?:L\d{1,3} \d{1,3})*)+")
NAME_WANTED = "Type the name of the person who signs."


class NameField(forms.CharField):
    """A name on one line, without characters that can't be seen."""

    def to_python(self, value: Any) -> str:
        return plain_name(super().to_python(value) or "")


class CodeField(EntryField):
    """The six digits of a mailed code; spaces and hyphens between them don't count."""

    inputmode = "numeric"

    def widget_attrs(self, widget: forms.Widget) -> dict[str, Any]:
        return super().widget_attrs(widget) | {"autocomplete": "one-time-code"}

    def read(self, text: str) -> str:
        code = text.replace(" ", "").replace("-", "")
        if not (code.isascii() and code.isdigit() and len(code) == 6):
            raise ValueError("The code has six digits. Type it as it stands in the mail.")
        return code


def typed_positions(typed: Collection[str]) -> set[int]:
    """Return the positions of options as they were ticked.

    Raises OptionLocked for what no page of ours sends.
    """
    if not all(text.isascii() and text.isdigit() and len(text) < 5 for text in typed):
        raise OptionLocked(NOT_ON_DOCUMENT)
    return {int(text) for text in typed}


class SeparateForm(forms.Form):
    """A form that shares its page with others: the ids of its fields begin with a name of its own."""

    name_of_form = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["auto_id"] = f"{self.name_of_form}_%s"
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)


class OptionsForm(forms.Form):
    """Which options are chosen, by their positions on the document."""

    options = forms.TypedMultipleChoiceField(
        coerce=int, required=False, widget=forms.CheckboxSelectMultiple, label="Options taken"
    )

    def __init__(self, *args: Any, options: Sequence[Option], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_choices(self, "options", [(f"{option.position}", option.title) for option in options])
        set_plain_messages(self.fields)
        self.fields["options"].error_messages["invalid_choice"] = "One of these isn't on this paper."

    def positions(self) -> set[int]:
        """Return the positions of the options chosen, as far as what was typed is right."""
        return set(self.cleaned_data.get("options", ())) if self.is_bound else set()


class ScanField(forms.FileField):
    """A photo or scan, cleaned as it is kept."""

    widget = forms.FileInput(attrs={"accept": "image/jpeg,image/png,application/pdf"})

    def clean(self, data: Any, initial: Any = None) -> CleanScan | None:
        file: UploadedFile[bytes] | None = super().clean(data, initial)
        if not file:
            return None
        try:
            return clean_scan(file, file.size or 0)
        except UnreadableScan as error:
            raise ValidationError(str(error)) from error


class SignForm(OptionsForm):
    """The signature on the client's page; `seen_total` is the sum that the page showed."""

    seen_total = forms.CharField(widget=forms.HiddenInput, required=False, max_length=20)
    name = NameField(label="Your full name", help_text="Typing it here is your signature.", max_length=120)
    consent = forms.BooleanField(label=CONSENT, help_text=CONSENT_TERMS)
    code = CodeField(label="Code from the mail", required=False, max_length=20)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs["auto_id"] = "sign_%s"
        super().__init__(*args, **kwargs)
        self.fields["name"].error_messages["required"] = "Type your name: it is your signature."
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["consent"].error_messages["required"] = (
            "Tick this to sign electronically, or ask for the paper to sign by hand."
        )


class GoAheadForm(SignForm):
    """A signature on the contractor's device: the name typed, and drawn on the glass if wanted.

    A photo or scan of a written waiver of the right to cancel goes with a change that has this right.
    """

    drawn = forms.CharField(widget=forms.HiddenInput, required=False, max_length=20_000)
    waiver = ScanField(
        label="Photo or scan of the handwritten waiver, if there is one",
        help_text="JPEG, PNG or PDF, at most 10 MB. It is kept with the signature.",
        required=False,
    )

    def __init__(self, *args: Any, may_waive: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["code"]
        self.fields["name"].label = "Full name of the person who signs"
        self.fields["name"].widget.attrs["autocomplete"] = "off"
        if not may_waive:
            del self.fields["waiver"]

    def clean_drawn(self) -> str:
        drawn: str = self.cleaned_data["drawn"]
        if drawn and not STROKES.fullmatch(drawn):
            raise ValidationError("The drawing didn't arrive whole. Clear it and sign again.")
        return drawn


class DeclineForm(SeparateForm):
    """Why the client declines."""

    name_of_form = "decline"

    reason = forms.CharField(
        label="Why not", max_length=1000, widget=forms.Textarea(attrs={"rows": 3}), strip=True
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["reason"].error_messages["required"] = "Say in a few words why not."


class CancelForm(SeparateForm):
    """The client's cancellation of a signed document."""

    name_of_form = "cancel"

    name = NameField(label="Your full name", max_length=120)
    sure = forms.BooleanField(label="I hereby cancel this transaction")

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["name"].error_messages["required"] = "Type your name."
        self.fields["name"].widget.attrs["autocomplete"] = "name"
        self.fields["sure"].error_messages["required"] = "Tick this to cancel. Untouched, nothing changes."


class CancellationForm(SeparateForm):
    """A cancellation that reached the firm by mail, by hand or otherwise."""

    name_of_form = "cancellation"

    name = NameField(label="Who canceled", max_length=120)
    on = forms.DateField(
        label="Mailed or handed over on",
        widget=forms.DateInput(attrs={"type": "date"}),
        help_text="It counts by this day, not by the day on which it reached you.",
    )
    how = forms.CharField(label="How it came", max_length=200, help_text="By mail, by hand, by e-mail.")

    def __init__(self, *args: Any, signed_on: date, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.signed_on, self.today = signed_on, today
        self.fields["name"].error_messages["required"] = "Type the name of the person who canceled."
        self.fields["how"].error_messages["required"] = "Say in a few words how it came."

    def clean_on(self) -> date:
        day: date = self.cleaned_data["on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Type the day on the notice or postmark.")
        if day < self.signed_on:
            raise ValidationError("That is before it was signed. Type the day on the notice or postmark.")
        return day


class AskForm(SeparateForm):
    """A question of the client."""

    name_of_form = "ask"

    text = forms.CharField(label="Your question", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["text"].error_messages["required"] = "Type your question."


class AskAboutForm(AskForm):
    """A question on the page of a job, about one of its papers."""

    paper = forms.ChoiceField(label="About")
    field_order = ("paper", "text")

    def __init__(self, *args: Any, papers: Mapping[int, str], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        offer_choices(self, "paper", [(f"{key}", name) for key, name in papers.items()])


class AnswerForm(SeparateForm):
    """The firm's answer to a question."""

    name_of_form = "answer"

    text = forms.CharField(label="Your answer", max_length=2000, widget=forms.Textarea(attrs={"rows": 4}))


class SendForm(forms.Form):
    """To whom a document goes; without an e-mail address only a link is made.

    `to_sign` says that the person is to sign it, and not only to read it.
    """

    once = forms.CharField(widget=forms.HiddenInput, max_length=64)
    name = NameField(label="Who signs", max_length=120)
    email = forms.EmailField(
        label="E-mail",
        required=False,
        max_length=254,
        help_text="The paper goes here as a PDF, with the link. For a link only, leave it empty.",
    )

    def __init__(self, *args: Any, to_sign: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        if not to_sign:
            self.fields["name"].label = "For"
        self.fields["name"].error_messages["required"] = NAME_WANTED
        self.fields["email"].error_messages["invalid"] = "Type an address such as name@example.com."

    def wants_mail(self) -> bool:
        """Return whether the document is mailed, and not only a link made."""
        return "by-link" not in self.data

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        if self.wants_mail() and "email" in cleaned and not cleaned["email"]:
            self.add_error("email", "Type the address that the mail goes to, or make a link only.")
        return cleaned

    def clean_once(self) -> str:
        once: str = self.cleaned_data["once"]
        if ClientLink.objects.filter(once=once).exists():
            raise ValidationError(
                "This was sent already. The link was shown once; send it anew for another.", code="twice"
            )
        return once


class PaperSignatureForm(OptionsForm):
    """A signature on paper, entered by the firm with a photo or scan of it."""

    name = NameField(label="Who signed", max_length=120)
    signed_on = forms.DateField(label="Signed on", widget=forms.DateInput(attrs={"type": "date"}))
    scan = ScanField(label="Photo or scan of the signed page", help_text="JPEG, PNG or PDF, at most 10 MB.")
    field_order = ("name", "signed_on", "options", "scan")

    def __init__(
        self, *args: Any, document: Document, today: date, options: Sequence[Option], **kwargs: Any
    ) -> None:
        super().__init__(*args, options=options, **kwargs)
        self.document, self.today = document, today
        self.fields["name"].error_messages["required"] = NAME_WANTED
        self.fields["scan"].error_messages["required"] = "Choose the photo or scan of the signed page."
        self.fields["scan"].error_messages["empty"] = "The file is empty. Choose the photo again."
        if not options:
            del self.fields["options"]

    def clean_signed_on(self) -> date:
        day: date = self.cleaned_data["signed_on"]
        if day > self.today:
            raise ValidationError("That day is still to come. Type the day on the paper.")
        if day < self.document.dated:
            raise ValidationError("That is before the paper was dated. Type the day on the paper.")
        return day


class WithdrawForm(SeparateForm):
    """Why the firm withdraws a document."""

    name_of_form = "withdraw"

    reason = forms.CharField(label="Why", max_length=300)
