"""What he types of one piece of work: words, rooms and walls, measures by hand, costs; and allowances."""

from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django import forms

from catalog.assemblies.expansion import AssemblySpec, MaterialSpec, materials_used, measures_used
from catalog.fields.form import AmountField, NumberField, PriceField
from catalog.forms.named import say_plainly
from catalog.measures.room_measures import BY_HAND, MEASURES
from estimating.models import (
    Allowance,
    ClientSupply,
    MeasureOverride,
    Room,
    WorkItem,
    WorkRoom,
)
from estimating.rooms.measures import wall_letter

ON_WALLS = frozenset({"wall_gross", "wall_net", "base", "ceiling_line", "floor_perimeter", "opening_trim"})
DAY = forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
SIX_PLACES = Decimal("0.000001")


class WorkItemForm(forms.ModelForm):
    """Everything of one work item: words, rooms and walls, measures by hand, costs, client's supplies."""

    extra_hours = NumberField(label="More hours", required=False, most=Decimal(9999), places=2)
    material_cost = PriceField(label="More material, cost", required=False)
    equipment_cost = PriceField(label="Equipment, cost", required=False)
    subcontract_cost = PriceField(label="Subcontract, cost", required=False)

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
            "is_option",
            "decide_by",
        )
        widgets = {"decide_by": DAY, "scope": forms.Textarea(attrs={"rows": 3})}

    def __init__(
        self,
        *args: Any,
        rooms: Sequence[Room] = (),
        assembly: AssemblySpec | None = None,
        metric: bool = False,
        **kwargs: Any,
    ) -> None:
        super().__init__(*args, **kwargs)
        self.rooms = rooms
        self.measures = measures_used(assembly) if assembly else ()
        self.materials = materials_used(assembly) if assembly else ()
        saved = self.instance.pk is not None
        if assembly is None:
            for name, label in (("extra_hours", "Hours"), ("material_cost", "Material, cost")):
                self.fields[name].label = label
        else:
            self._add_rooms({each.room_id: each for each in self.instance.in_rooms.all()} if saved else {})
            self._add_measures(
                {each.measure: each for each in self.instance.overrides.all()} if saved else {}, metric
            )
            self._add_supplies(
                {each.material.code: each for each in self.instance.client_supplies.all()} if saved else {}
            )
        say_plainly(self.fields)

    def drop_options(self) -> None:
        """In a change there are none: it is signed as it stands."""
        del self.fields["is_option"], self.fields["decide_by"]

    def _add_rooms(self, chosen: Mapping[int, WorkRoom]) -> None:
        for room in self.rooms:
            self.fields[f"room-{room.pk}"] = forms.BooleanField(
                label=room.name, required=False, initial=room.pk in chosen
            )
            picked = chosen[room.pk].walls.split(",") if room.pk in chosen else []
            walls = [each for each in picked if each]
            if walls or ON_WALLS.intersection(self.measures):
                self.fields[f"walls-{room.pk}"] = walls_field(room, walls)

    def _add_measures(self, put_in: Mapping[str, MeasureOverride], metric: bool) -> None:
        for code in self.measures:
            measure, override = MEASURES[code], put_in.get(code)
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
        cleaned = super().clean()
        for name in ("extra_hours", "material_cost", "equipment_cost", "subcontract_cost"):
            if name not in self.errors and cleaned.get(name) is None:
                cleaned[name] = Decimal(0)
        for code in self.measures:
            amount = cleaned.get(f"measure-{code}")
            if amount is not None and code not in BY_HAND and not cleaned.get(f"reason-{code}"):
                self.add_error(f"reason-{code}", "Say why, so that the change can be read later.")
            elif amount is None and self._is_new(f"reason-{code}") and f"measure-{code}" not in self.errors:
                words = "Type the amount that this is the reason for, or leave the reason empty."
                self.add_error(f"measure-{code}", words)
        for material in self.materials:
            if self._is_new(f"needed-{material.code}") and not cleaned.get(f"supply-{material.code}"):
                words = "Tick that the client brings it, or leave the day empty."
                self.add_error(f"needed-{material.code}", words)
        return cleaned

    def _is_new(self, name: str) -> bool:
        """Whether something was typed there that wasn't there before; what is left beside a field that he
        emptied goes with it."""
        return name in self.changed_data and bool(self.cleaned_data.get(name))

    def measure_fields(self) -> Iterator[tuple[str, forms.BoundField, forms.BoundField]]:
        for code in self.measures:
            yield code, self[f"measure-{code}"], self[f"reason-{code}"]

    def room_fields(self) -> Iterator[tuple[forms.BoundField, forms.BoundField | None]]:
        for room in self.rooms:
            walls = f"walls-{room.pk}"
            if f"room-{room.pk}" in self.fields:
                yield self[f"room-{room.pk}"], self[walls] if walls in self.fields else None

    def supply_fields(self) -> Iterator[tuple[MaterialSpec, forms.BoundField, forms.BoundField]]:
        for material in self.materials:
            yield material, self[f"supply-{material.code}"], self[f"needed-{material.code}"]

    def write_parts(self, item: WorkItem, material_pks: Mapping[str, int]) -> None:
        """Replace the item's rooms, measures by hand and client's supplies by what was typed."""
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
                material_id=material_pks[each.code],
                needed_by=typed.get(f"needed-{each.code}"),
            )
            for each in self.materials
            if typed.get(f"supply-{each.code}")
        )


def walls_field(room: Room, chosen: Sequence[str] = ()) -> forms.MultipleChoiceField:
    """Which walls of a room; none chosen means all of them."""
    letters = [wall_letter(index) for index in range(len(room.legs))]
    return forms.MultipleChoiceField(
        label=f"Only these walls of {room.name}",
        choices=[(letter, letter) for letter in letters],
        required=False,
        initial=chosen,
        widget=forms.CheckboxSelectMultiple,
    )


def six_places(amount: Fraction) -> Decimal:
    """An amount put in by hand, to a millionth of its unit, half-up."""
    return (Decimal(amount.numerator) / Decimal(amount.denominator)).quantize(SIX_PLACES, "ROUND_HALF_UP")


class AllowanceForm(forms.ModelForm):
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
        say_plainly(self.fields)

    def clean_amount(self) -> Decimal:
        amount = self.cleaned_data["amount"]
        if amount <= 0:
            raise forms.ValidationError("An allowance is more than nothing: type its sum, such as 780.")
        return amount
