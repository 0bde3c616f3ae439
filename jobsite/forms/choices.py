"""What is typed of choices: by the firm what is offered, by the client what he chose."""

from collections.abc import Sequence
from typing import Any

from django import forms

from catalog.fields.form import PriceField
from catalog.forms.model_form import ModelForm, set_plain_messages
from estimating.forms.photos import PhotoInput, PhotosField
from jobsite.choices.offers import PricedOffer
from jobsite.forms.days import DayField
from jobsite.models import Choice, ChoiceOffer


class ChoiceForm(ModelForm[Choice]):
    """What there is to choose, and by when."""

    decide_by = DayField(label="To choose by", required=False)

    class Meta:
        model = Choice
        fields = ("what", "says", "decide_by")
        widgets = {"says": forms.Textarea(attrs={"rows": 2})}
        help_texts = {"what": "Such as: grout, wall color, cabinet pulls."}

    def __init__(self, *args: Any, day: str = "", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["decide_by"].help_text = day
        set_plain_messages(self.fields)


class ChoiceOfferForm(ModelForm[ChoiceOffer]):
    """Something to choose; what it costs only where an allowance holds money for it."""

    photos = PhotosField(
        label="Picture",
        required=False,
        widget=PhotoInput(attrs={"accept": "image/jpeg,image/png", "multiple": False}),
        help_text="A JPEG or PNG of at most 10 MB.",
    )
    cost = PriceField(label="What it costs before tax", help_text="As the store asks it, for all of it.")

    class Meta:
        model = ChoiceOffer
        fields = ("title", "says", "cost")

    def __init__(self, *args: Any, has_allowance: bool, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        if not has_allowance:
            del self.fields["cost"]
        set_plain_messages(self.fields)

    def clean_photos(self) -> list[bytes]:
        photos: list[bytes] = self.cleaned_data["photos"]
        if len(photos) > 1:
            raise forms.ValidationError(f"That is {len(photos)} pictures: choose one.")
        return photos


class ChooseForm(forms.Form):
    """What the client chose, and his name."""

    offer = forms.ChoiceField(label="Choose one", widget=forms.RadioSelect)
    name = forms.CharField(label="Your name", max_length=120)
    shown = forms.CharField(widget=forms.HiddenInput, max_length=64)

    def __init__(self, *args: Any, offers: Sequence[PricedOffer], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["offer"]
        assert isinstance(field, forms.ChoiceField)
        field.choices = [(f"{row.offer.key}", row.offer.title) for row in offers]
        set_plain_messages(self.fields)


class TakeOptionForm(forms.Form):
    """The name of the client who takes an option."""

    name = forms.CharField(label="Your name", max_length=120)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
