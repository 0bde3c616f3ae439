"""What is typed of an item of the punch list."""

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.fields.form import PriceField
from catalog.forms.model_form import ModelForm, offer_rows, set_plain_messages
from closing.models import PunchListItem
from closing.punch_list.items import NO_MONEY, ListItem, fault_of_worth
from estimating.forms.photos import PhotosField
from estimating.models import Room

PHOTO_HELP = "JPEG or PNG. Place and camera are removed."


class ItemForm(ModelForm[PunchListItem]):
    """An item: what, where, whose it is, a photo, and what is held back for it.

    `others` are the other items, and `to_ask` what of the contract isn't asked for yet.
    """

    photos = PhotosField(label="Photo", required=False, help_text=PHOTO_HELP)
    worth = PriceField(
        label="Worth, held back until it's done",
        required=False,
        help_text="Empty: nothing is held back yet. Never more than it costs to finish.",
    )
    field_order = ("text", "room", "photos", "whose", "worth", "answer")

    class Meta:
        model = PunchListItem
        fields = ("text", "room", "whose", "worth", "answer")
        widgets = {"whose": forms.RadioSelect, "answer": forms.Textarea(attrs={"rows": 2})}
        labels = {"text": "What is seen", "answer": "Why it isn't done, for the client"}
        help_texts = {
            "answer": "For a wish that you decline, or what isn't ours. It stands on the certificate."
        }

    def __init__(
        self,
        *args: Any,
        rooms: QuerySet[Room],
        others: Sequence[ListItem],
        to_ask: Decimal,
        is_signed: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.others, self.to_ask, self.is_signed = others, to_ask, is_signed
        offer_rows(self, "room", rooms, "No room named")
        set_plain_messages(self.fields)

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        whose, worth = cleaned.get("whose"), cleaned.get("worth")
        in_scope = whose == PunchListItem.Whose.SCOPE or self.is_signed
        if worth is not None and not in_scope:
            self.add_error("worth", "Only work in the scope holds money back. Leave it empty here.")
        elif worth is not None and worth < 0:
            self.add_error("worth", "Type what it is worth, such as 150, or 0 to hold nothing.")
        elif not self.instance.done_on and (
            fault := fault_of_worth(worth or NO_MONEY, self.others, self.to_ask)
        ):
            self.add_error("worth", fault)
        if whose == PunchListItem.Whose.SCOPE and cleaned.get("answer"):
            self.add_error("answer", "What is in the scope is done, not declined. Leave this empty.")
        if self.instance.change_id and whose != PunchListItem.Whose.WISH:
            self.add_error("whose", "It is on a change order, so it stays a new wish.")
        if self.instance.done_on and whose != self.instance.whose:
            self.add_error("whose", "It is done already: take that back first.")
        return cleaned


class DoneForm(forms.Form):
    """The photo that shows an item done."""

    photos = PhotosField(label="Photo of it done", required=False, help_text=PHOTO_HELP)

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)
