"""The form that compares two assemblies, for a measured room or for so much of each."""

from collections import defaultdict
from fractions import Fraction
from typing import Any

from django import forms

from catalog.fields.form import AmountField
from catalog.forms.model_form import offer_choices, set_plain_messages
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly
from catalog.phases import Phase
from estimating.models import Room


class CompareForm(forms.Form):
    """Two assemblies, and a room or an amount; cleaned to rows and a fraction."""

    first = forms.ChoiceField(label="The first")
    second = forms.ChoiceField(label="The second")
    room = forms.ChoiceField(label="In this room", required=False)
    amount = forms.CharField(
        label="Or so much of each",
        required=False,
        max_length=40,
        help_text="Such as 240 sq ft of wall, 36 ft of base, or 2 doors: the number is enough.",
        widget=forms.TextInput(attrs={"inputmode": "decimal", "autocomplete": "off"}),
    )

    def __init__(self, *args: Any, metric: bool = False, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.metric = metric
        set_plain_messages(self.fields)
        self.assemblies = {str(row.pk): row for row in Assembly.objects.offered()}
        for name in ("first", "second"):
            offer_choices(self, name, [("", "Choose an assembly"), *self._by_phase()])
        rooms = Room.objects.filter(job__closed=False).select_related("job__client")
        self.rooms = {
            str(room.pk): room for room in rooms.order_by("-job__requested_on", "job_id", "position")
        }
        offer_choices(self, "room", [("", "No room: the amount below"), *self._by_job()])

    def _by_phase(self) -> list[tuple[str, list[tuple[str, str]]]]:
        groups: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for key, row in self.assemblies.items():
            groups[row.phase].append((key, row.name))
        return [(phase.label, groups[phase]) for phase in Phase if phase in groups]

    def _by_job(self) -> list[tuple[str, list[tuple[str, str]]]]:
        groups: dict[str, list[tuple[str, str]]] = defaultdict(list)
        for key, room in self.rooms.items():
            groups[str(room.job)].append((key, room.name))
        return list(groups.items())

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        first, second = (self.assemblies.get(cleaned.get(name, "")) for name in ("first", "second"))
        cleaned |= {"first": first, "second": second, "room": self.rooms.get(cleaned.get("room", ""))}
        if first and first == second:
            self.add_error("second", "That is the same one: choose another to put beside it.")
        typed = cleaned.get("amount", "").strip()
        cleaned["amount"] = self._amount(first, second, typed) if typed and first and second else None
        if not typed and not cleaned["room"] and "room" not in self.errors:
            self.add_error("room", "Choose a room, or type how much of each.")
        return cleaned

    def _amount(self, first: Assembly, second: Assembly, typed: str) -> Fraction | None:
        """Read an amount of each assembly's own measure, which must be counted in the same unit."""
        unit, other = MEASURES[first.measure].unit, MEASURES[second.measure].unit
        if unit != other:
            self.add_error(
                "amount",
                f"{first.name} is counted in {unit} and {second.name} in {other}, so no amount fits both: "
                "choose a room.",
            )
            return None
        try:
            amount: Fraction = AmountField(unit=unit, metric=self.metric).clean(typed)
        except forms.ValidationError as error:
            self.add_error("amount", error)
            return None
        if not amount:
            self.add_error("amount", "Type more than 0, such as 100.")
        return amount or None
