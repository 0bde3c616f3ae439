"""Counts, lengths and areas that no room gives, typed for all the work that waits for one in one go."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms

from catalog.fields.form import AmountField
from catalog.measures.room_measures import MEASURES
from estimating.estimates.work_page import Uncounted
from estimating.forms.add_work import amount_label
from estimating.forms.work import six_places
from estimating.models import MeasureOverride


class CountsForm(forms.Form):
    """One field for each amount that is wanted; those left empty are still wanted afterwards."""

    def __init__(
        self, *args: Any, uncounted: Sequence[Uncounted], metric: bool = False, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.uncounted = uncounted
        for each in uncounted:
            unit = MEASURES[each.measure].unit
            self.fields[_name(each)] = AmountField(
                unit=unit, metric=metric, required=False, label=amount_label(each.title, unit, metric)
            )

    def rows(self) -> Iterator[tuple[Uncounted, forms.BoundField]]:
        for each in self.uncounted:
            yield each, self[_name(each)]

    def save(self) -> None:
        """Put in the amounts that were typed. Call inside a transaction."""
        MeasureOverride.objects.bulk_create(
            MeasureOverride(
                item_id=each.item,
                measure=each.measure,
                amount=six_places(self.cleaned_data[_name(each)]),
                typed=self.data[self.add_prefix(_name(each))],
            )
            for each in self.uncounted
            if self.cleaned_data[_name(each)] is not None
        )


def _name(wanted: Uncounted) -> str:
    return f"amount-{wanted.item}-{wanted.measure}"
