"""The forms of the list of the work: amounts that are still missing, one line changed in place, and what is
done to many that are marked."""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.fields.form import AmountField, PriceField
from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.phases import Phase
from estimating.estimates.proposed import PROPOSED
from estimating.estimates.work_page import MissingCount
from estimating.forms.add_work import amount_label
from estimating.forms.work import six_places
from estimating.models import MeasureOverride, WorkItem

_NAME = re.compile(r"amount-(?P<item>\d{1,18})-(?P<measure>\w+)", re.ASCII)
TYPED_IN_LIST = "typed in the list of the work"


class CountsForm(forms.Form):
    """A field for each amount that is missing; those left empty are still missing afterwards.

    `conflicts` names what is no longer missing, as it was counted on another page.
    """

    conflicts: tuple[str, ...] = ()

    def __init__(
        self, *args: Any, missing_counts: Sequence[MissingCount], metric: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.missing_counts = missing_counts
        for count in missing_counts:
            unit = MEASURES[count.measure].unit
            self.fields[_name(count)] = AmountField(
                unit=unit, metric=metric, required=False, label=amount_label(count.title, unit, metric)
            )

    def clean(self) -> dict[str, Any]:
        """Refuse an amount that was counted meanwhile, as another page's count isn't written over."""
        super().clean()
        for name, typed in self.data.items():
            match = _NAME.fullmatch(name)
            if not match or name in self.fields or not typed:
                continue
            stored = MeasureOverride.objects.filter(item=int(match["item"]), measure=match["measure"])
            if (counted := stored.select_related("item").first()) and counted.typed != typed:
                self.conflicts = (*self.conflicts, name)
                self.add_error(
                    None,
                    f"{counted.item.title} was counted meanwhile as {counted.typed}, and you typed {typed} "
                    "here. To change it, open that line of the work.",
                )
        return self.cleaned_data

    def rows(self) -> Iterator[tuple[MissingCount, forms.BoundField]]:
        """Yield every missing amount with its field."""
        for count in self.missing_counts:
            yield count, self[_name(count)]

    def save(self) -> None:
        """Store the amounts that were typed. Call inside a transaction."""
        MeasureOverride.objects.bulk_create(
            MeasureOverride(
                item_id=count.item,
                measure=count.measure,
                amount=six_places(self.cleaned_data[_name(count)]),
                typed=self.data[self.add_prefix(_name(count))],
            )
            for count in self.missing_counts
            if self.cleaned_data[_name(count)] is not None
        )


def _name(count: MissingCount) -> str:
    return f"amount-{count.item}-{count.measure}"


class WorkRowForm(ModelForm[WorkItem]):
    """A line of work in the list: its title, how much of it there is, and its price.

    An empty amount is the one that the rooms give, an empty price the one that the work comes to.
    """

    price_by_hand = PriceField(label="Price", required=False)

    class Meta:
        model = WorkItem
        fields = ("title", "price_by_hand")

    def __init__(self, *args: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.override: MeasureOverride | None = None
        assembly = self.instance.assembly
        if assembly is not None:
            self.override = self.instance.overrides.filter(measure=assembly.measure).first()
            self.fields["amount"] = AmountField(
                unit=MEASURES[assembly.measure].unit,
                metric=metric,
                required=False,
                label="Quantity",
                initial=self.override.typed if self.override else "",
            )
        set_plain_messages(self.fields)

    def clean_price_by_hand(self) -> Decimal | None:
        price: Decimal | None = self.cleaned_data["price_by_hand"]
        if price is not None and price < 0:
            raise forms.ValidationError("A price is not below nothing: type 0, or leave it empty.")
        return price

    def save_row(self) -> None:
        """Write the line. Call in a transaction."""
        self.save()
        assembly = self.instance.assembly
        if assembly is None or "amount" not in self.changed_data:
            return
        amount: Fraction | None = self.cleaned_data["amount"]
        stored = MeasureOverride.objects.filter(item=self.instance, measure=assembly.measure)
        if amount is None:
            stored.delete()
            return
        reason = self.override.reason if self.override else ""
        reason = "" if reason.startswith(PROPOSED) else reason
        if not reason and assembly.measure not in BY_HAND:
            reason = TYPED_IN_LIST
        MeasureOverride.objects.update_or_create(
            item=self.instance,
            measure=assembly.measure,
            defaults={
                "amount": six_places(amount),
                "typed": self.data[self.add_prefix("amount")],
                "reason": reason,
            },
        )


class MarkedForm(forms.Form):
    """Lines of work that are marked, and what is done to all of them."""

    ACTIONS = {
        "option": "made optional",
        "in-sum": "put in the sum",
        "move": "moved",
        "remove": "removed",
    }

    marked = forms.ModelMultipleChoiceField(
        queryset=WorkItem.objects.none(),
        error_messages={
            "required": "Mark at least one line of the work.",
            "invalid_choice": "One of these lines is no longer there. Look at the list and mark again.",
            "invalid_pk_value": "Mark lines of this list.",
        },
    )
    what = forms.ChoiceField(choices=list(ACTIONS.items()), error_messages={"required": "Say what to do."})
    phase = forms.ChoiceField(
        label="Move to",
        choices=[("", "another phase"), *Phase.choices],
        required=False,
        error_messages={"invalid_choice": "Choose one of the phases."},
    )
    option_name = forms.CharField(
        label="Name, where they are one option",
        max_length=120,
        required=False,
        widget=forms.TextInput(attrs={"placeholder": "One option, named"}),
    )

    def __init__(self, *args: Any, items: QuerySet[WorkItem], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = self.fields["marked"]
        assert isinstance(field, forms.ModelMultipleChoiceField)
        field.queryset = items

    def clean(self) -> dict[str, Any]:
        super().clean()
        if self.cleaned_data.get("what") == "move" and self.cleaned_data.get("phase") == "":
            self.add_error("phase", "Choose the phase that the marked lines move to.")
        return self.cleaned_data

    def in_words(self) -> str:
        """Say what is done, such as "3 lines moved"."""
        marked = list(self.cleaned_data["marked"])
        done = self.ACTIONS[self.cleaned_data["what"]]
        return f"“{marked[0].title}” {done}" if len(marked) == 1 else f"{len(marked)} lines {done}"
