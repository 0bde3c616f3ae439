"""The forms of one work item (words, rooms and walls, measures by hand, costs) and of an allowance."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms
from django.db.models import QuerySet

from catalog.assemblies.specs import AssemblySpec, MaterialSpec, materials_used, measures_used
from catalog.fields.form import AmountField, HoursField, PriceField
from catalog.forms.model_form import ModelForm, set_plain_messages
from catalog.measures.room_measures import BY_HAND, MEASURES, WALL_TILE_MEASURES
from catalog.measures.units import format_number
from estimating.models import (
    Allowance,
    ClientSupply,
    MeasureOverride,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.rooms.outline import wall_letter
from estimating.takeoff.job_conditions import COLLIERY, JOB_CONDITIONS, known

ON_WALLS = frozenset(
    {
        "wall_gross",
        "wall_net",
        "base",
        "ceiling_line",
        "floor_perimeter",
        "opening_trim",
        *WALL_TILE_MEASURES,
    }
)
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
SIX_PLACES = Decimal("0.000001")


class ConditionsField(forms.MultipleChoiceField):
    """What of the job makes the hours longer: ticks, kept as codes with commas between."""

    widget = forms.CheckboxSelectMultiple

    def __init__(self, **kwargs: Any) -> None:
        choices = [
            (
                row.code,
                f"{row.label}: × {format_number(row.factor)}{'' if row.is_guess else ', as printed'}",
            )
            for row in JOB_CONDITIONS.values()
        ]
        note = f"Factors on the hours. As printed: {COLLIERY}. The others are from memory."
        super().__init__(choices=choices, required=False, help_text=note, **kwargs)

    def prepare_value(self, value: Any) -> Any:
        return [code for code in value.split(",") if code] if isinstance(value, str) else value

    def has_changed(self, initial: Any, data: Any) -> bool:
        return super().has_changed(self.prepare_value(initial), data)

    def clean(self, value: Any) -> Any:
        return ",".join(row.code for row in known(super().clean(value)))


class WorkItemForm(ModelForm[WorkItem]):
    """Everything of one work item: words, rooms and walls, measures by hand, costs, client's supplies.

    Without an assembly it has no rooms, measures or supplies.
    """

    extra_hours = HoursField(label="More hours", required=False, most=Decimal(9999), places=2)
    material_cost = PriceField(label="More material, cost", required=False)
    equipment_cost = PriceField(label="Equipment, cost", required=False)
    subcontract_cost = PriceField(label="Subcontract, cost", required=False)
    conditions = ConditionsField(label="What makes it take longer")

    class Meta:
        model = WorkItem
        fields = (
            "title",
            "phase",
            "scope",
            "extra_hours",
            "material_cost",
            "material_taxable",
            "equipment_cost",
            "subcontract_cost",
            "conditions",
            "is_option",
            "option_name",
            "decide_by",
        )
        help_texts = {
            "option_name": "Lines with the same name are one option with one price, taken or not as a whole. "
            "Leave it empty where this line is an option of its own.",
        }
        widgets = {"decide_by": DAY, "scope": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        rooms: QuerySet[Room] | Sequence[Room] = (),
        assembly: AssemblySpec | None = None,
        metric: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rooms = rooms
        self.measures = measures_used(assembly) if assembly else ()
        self.plan_measure = assembly.plan_measure if assembly else ""
        self.materials = materials_used(assembly) if assembly else ()
        saved = self.instance.pk is not None
        if assembly is None:
            del self.fields["conditions"]
            for name, label in (("extra_hours", "Hours"), ("material_cost", "Material, cost")):
                self.fields[name].label = label
        else:
            item = self.instance
            self._add_rooms({use.room_id: use for use in item.in_rooms.all()} if saved else {})
            self._add_measures(
                {override.measure: override for override in item.overrides.all()} if saved else {}, metric
            )
            self._add_supplies(
                {supply.material.code: supply for supply in item.client_supplies.all()} if saved else {}
            )
        set_plain_messages(self.fields)

    def drop_options(self) -> None:
        """Leave out that the item is an option: a change has none, as it is signed as it stands."""
        del self.fields["is_option"], self.fields["option_name"], self.fields["decide_by"]

    def _add_rooms(self, chosen: Mapping[int, WorkRoom]) -> None:
        for room in self.rooms:
            self.fields[f"room-{room.pk}"] = forms.BooleanField(
                label=room.name, required=False, initial=room.pk in chosen
            )
            letters = chosen[room.pk].walls.split(",") if room.pk in chosen else []
            walls = [letter for letter in letters if letter]
            if walls or ON_WALLS.intersection((*self.measures, self.plan_measure)):
                self.fields[f"walls-{room.pk}"] = walls_field(room, walls)

    def _add_measures(self, overrides: Mapping[str, MeasureOverride], metric: bool) -> None:
        for code in self.measures:
            measure, override = MEASURES[code], overrides.get(code)
            self.fields[f"measure-{code}"] = AmountField(
                unit=measure.unit,
                metric=metric,
                required=False,
                label=f"{measure.label}, by hand",
                initial=override.typed if override else "",
            )
            self.fields[f"reason-{code}"] = forms.CharField(
                required=False, max_length=200, label="Why", initial=override.reason if override else ""
            )

    def _add_supplies(self, supplied: Mapping[str, ClientSupply]) -> None:
        for material in self.materials:
            supply = supplied.get(material.code)
            self.fields[f"supply-{material.code}"] = forms.BooleanField(
                required=False, label=f"Client brings {material.name}", initial=supply is not None
            )
            self.fields[f"needed-{material.code}"] = forms.DateField(
                required=False,
                label="Needed on site by",
                initial=supply.needed_by if supply else None,
                widget=DAY,
            )

    def clean(self) -> dict[str, Any]:
        super().clean()
        cleaned = self.cleaned_data
        for name in ("extra_hours", "material_cost", "equipment_cost", "subcontract_cost"):
            if name not in self.errors and cleaned.get(name) is None:
                cleaned[name] = Decimal(0)
        if self._is_new("option_name") and not cleaned.get("is_option"):
            self.add_error("option_name", "Tick that it is an option, or leave its name empty.")
        for code in self.measures:
            self._check_measure(code)
        for material in self.materials:
            if self._is_new(f"needed-{material.code}") and not cleaned.get(f"supply-{material.code}"):
                words = "Tick that the client brings it, or leave the day empty."
                self.add_error(f"needed-{material.code}", words)
        return cleaned

    def _check_measure(self, code: str) -> None:
        """Refuse a measure by hand without its reason, and a new reason without its measure."""
        amount, reason = f"measure-{code}", f"reason-{code}"
        typed = self.cleaned_data.get(amount)
        if typed is not None and code not in BY_HAND and not self.cleaned_data.get(reason):
            self.add_error(reason, "Say why, so that the change can be read later.")
        elif typed is None and self._is_new(reason) and amount not in self.errors:
            words = "Type the amount that this is the reason for, or leave the reason empty."
            self.add_error(amount, words)

    def _is_new(self, name: str) -> bool:
        """Tell whether something was typed in these fields that wasn't there before.

        What is left beside a field that was emptied goes with it, and is no fault.
        """
        return name in self.changed_data and bool(self.cleaned_data.get(name))

    def measure_fields(self) -> Iterator[tuple[str, forms.BoundField, forms.BoundField]]:
        """Yield the code of every measure, with the fields of its amount by hand and of the reason."""
        for code in self.measures:
            yield code, self[f"measure-{code}"], self[f"reason-{code}"]

    def room_fields(self) -> Iterator[tuple[forms.BoundField, forms.BoundField | None]]:
        """Yield the field of every room, with that of its walls where they can be chosen."""
        for room in self.rooms:
            walls = f"walls-{room.pk}"
            if f"room-{room.pk}" in self.fields:
                yield self[f"room-{room.pk}"], self[walls] if walls in self.fields else None

    def supply_fields(self) -> Iterator[tuple[MaterialSpec, forms.BoundField, forms.BoundField]]:
        """Yield every material, with the fields of whether the client brings it and until when."""
        for material in self.materials:
            yield material, self[f"supply-{material.code}"], self[f"needed-{material.code}"]

    def write_parts(self, item: WorkItem, material_pks: Mapping[str, int]) -> None:
        """Replace the item's rooms, measures by hand and client's supplies by what was typed.

        Call inside a transaction.
        """
        typed = self.cleaned_data
        item.in_rooms.all().delete()
        WorkRoom.objects.bulk_create(
            WorkRoom(item=item, room=room, walls=",".join(typed.get(f"walls-{room.pk}") or []))
            for room in self.rooms
            if typed.get(f"room-{room.pk}")
        )
        item.overrides.all().delete()
        MeasureOverride.objects.bulk_create(
            MeasureOverride(
                item=item,
                measure=code,
                amount=six_places(typed[f"measure-{code}"]),
                typed=self.data.get(self.add_prefix(f"measure-{code}"), ""),
                reason=typed.get(f"reason-{code}") or "",
            )
            for code in self.measures
            if typed.get(f"measure-{code}") is not None
        )
        item.client_supplies.all().delete()
        ClientSupply.objects.bulk_create(
            ClientSupply(
                item=item,
                material_id=material_pks[material.code],
                needed_by=typed.get(f"needed-{material.code}"),
            )
            for material in self.materials
            if typed.get(f"supply-{material.code}")
        )


def walls_field(room: Room, chosen: Sequence[str] = ()) -> forms.MultipleChoiceField:
    """Make the field for the walls of a room; none chosen means all of them."""
    letters = [wall_letter(index) for index in range(len(room.legs))]
    return forms.MultipleChoiceField(
        label=f"Only these walls of {room.name}",
        choices=[(letter, letter) for letter in letters],
        required=False,
        initial=chosen,
        widget=forms.CheckboxSelectMultiple,
    )


def six_places(amount: Fraction) -> Decimal:
    """Round an amount put in by hand to a millionth of its unit, half-up."""
    return (Decimal(amount.numerator) / Decimal(amount.denominator)).quantize(SIX_PLACES, "ROUND_HALF_UP")


class AllowanceForm(ModelForm[Allowance]):
    """An allowance: its sum, what the sum holds, and until when the client chooses."""

    amount = PriceField(label="Amount")

    class Meta:
        model = Allowance
        fields = (
            "name",
            "amount",
            "basis",
            "phase",
            "covers_labor",
            "covers_tax",
            "covers_delivery",
            "decide_by",
        )
        widgets = {"decide_by": DAY}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        set_plain_messages(self.fields)

    def clean_amount(self) -> Decimal:
        amount: Decimal = self.cleaned_data["amount"]
        if amount <= 0:
            raise forms.ValidationError("An allowance is more than nothing: type its sum, such as 780.")
        return amount
