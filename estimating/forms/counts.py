"""The form of counts, lengths and areas that no room gives, for all the work that still lacks one."""

import re
from collections.abc import Iterator, Sequence
from typing import Any

from django import forms

from catalog.fields.form import AmountField
from catalog.measures.room_measures import MEASURES
from estimating.estimates.work_page import MissingCount
from estimating.forms.add_work import amount_label
from estimating.forms.work import six_places
from estimating.models import MeasureOverride

_NAME = re.compile(r"amount-(?P<item>\d{1,18})-(?P<measure>\w+)", re.ASCII)


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
