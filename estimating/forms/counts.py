"""The form of counts, lengths and areas that no room gives, for all the work that still lacks one."""

from collections.abc import Iterator, Sequence
from typing import Any

from django import forms

from catalog.fields.form import AmountField
from catalog.measures.room_measures import MEASURES
from estimating.estimates.work_page import MissingCount
from estimating.forms.add_work import amount_label
from estimating.forms.work import six_places
from estimating.models import MeasureOverride


class CountsForm(forms.Form):
    """A field for each amount that is missing; those left empty are still missing afterwards."""

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
