"""A lien waiver to issue, and the words that the firm's state prescribes for one."""

from datetime import date
from typing import Any

from django import forms

from catalog.forms.model_form import ModelForm, set_plain_messages
from invoicing.billing.lien_waiver import PLACES, WaiverKind, unknown_place
from invoicing.forms.days import day_field
from invoicing.forms.payments import ClockForm
from invoicing.models import StateWaiver


class WaiverForm(ClockForm):
    """Which waiver goes with an invoice, through which day, what it leaves out, and who signs it."""

    kind = forms.ChoiceField(
        label="Which waiver",
        choices=[(kind.value, kind.label) for kind in WaiverKind],
        widget=forms.RadioSelect,
    )
    through = day_field("For work through")
    exceptions = forms.CharField(
        label="What you don't give up",
        required=False,
        max_length=1000,
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Such as: change 3, not agreed yet, $420.00.",
    )
    signed_by = forms.CharField(
        label="Your name, in place of a signature",
        required=False,
        max_length=120,
        help_text="Leave it empty to sign the printed paper by hand, as some states and banks want it.",
    )

    def __init__(self, *args: Any, today: date, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.today = today

    def clean_through(self) -> date:
        through: date = self.cleaned_data["through"]
        if through > self.today:
            raise forms.ValidationError(
                "Work that isn't done yet can't be given up: pick today or a day before."
            )
        return through


class StateWaiverForm(ModelForm[StateWaiver]):
    """The words of one kind, word for word, with the places that are filled in."""

    confirmed = forms.BooleanField(label="I copied this from the law of my state, and it is right")

    class Meta:
        model = StateWaiver
        fields = ("kind", "text", "citation")
        widgets = {"text": forms.Textarea(attrs={"rows": 14})}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
        places = ", ".join(f"{{{place}}}" for place in PLACES)
        self.fields["text"].help_text = f"Word for word. Filled in are: {places}."
        self.fields["citation"].help_text = "The section of the law; it is printed below the words."
        self.fields["citation"].error_messages["required"] = "Name the law that prescribes these words."
        self.fields["confirmed"].error_messages["required"] = "Look it up first, then tick this."

    def clean_text(self) -> str:
        text: str = self.cleaned_data["text"]
        if place := unknown_place(text):
            known = ", ".join(f"{{{name}}}" for name in PLACES)
            raise forms.ValidationError(f"{place} isn't filled in here. These are: {known}.")
        return text
