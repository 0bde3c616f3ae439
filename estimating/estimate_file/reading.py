"""From the text of an estimate file to its rows, or to every fault in it with its place.

The schema is checked first; then each text is read by the form that reads it on the site, so that a file and
a page say the same of it.
"""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import NON_FIELD_ERRORS, ValidationError

from catalog.assemblies.specs import AssemblySpec, MaterialSpec, NestedInItself, materials_used, measures_used
from catalog.fields.form import AmountField
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.models import Firm
from catalog.rows.values import CatalogReader
from estimating.estimate_file.rows import EstimateFile, FileItem, FileRoom
from estimating.estimate_file.schema import Fault, UnfitFile, inside, parse, shape_faults
from estimating.forms.hidden_conditions import ConditionForm
from estimating.forms.jobs import NewJobForm
from estimating.forms.prices import PricingForm, WordsForm
from estimating.forms.room_entry import ROWS
from estimating.forms.rooms import FloorForm, RoomForms
from estimating.forms.work import AllowanceForm, ConditionsField, WorkItemForm, six_places
from estimating.models import (
    Allowance,
    Client,
    ClientSupply,
    Estimate,
    HiddenCondition,
    Job,
    MeasureOverride,
    Room,
    WorkItem,
    wall_index,
)
from estimating.models.estimate import COPIED_FROM_FIRM
from estimating.rooms.outline import wall_letter

# Names of the file for fields of the forms, where they differ.
_JOB_NAMES = {"requested_on": "date", "client": "client.name"} | {
    f"client_{name}": f"client.{name}" for name in ("name", "phone", "email", "address")
}
_ITEM_NAMES = {
    "extra_hours": "hours",
    "material_cost": "material",
    "equipment_cost": "equipment",
    "subcontract_cost": "subcontract",
    "is_option": "option",
}
_EMPTY_CATALOG = "the catalog is empty. Put the starting one in: python manage.py starter_catalog"


def read(text: str, firm: Firm, reader: CatalogReader) -> EstimateFile:
    """Read a file; what it leaves out is the firm's. Raises UnfitFile with all faults at once."""
    file = _FileReader(parse(text), firm, reader)
    job, rooms = file.job(), file.rooms()
    estimate = file.estimate(job)
    estimate.on_hand = file.on_hand()
    items, allowances, set_aside = file.items(), file.allowances(), file.set_aside()
    conditions = file.conditions()
    if file.faults:
        raise UnfitFile(list(dict.fromkeys(file.faults)))
    return EstimateFile(firm, job, rooms, estimate, items, allowances, set_aside, conditions)


class _FileReader:
    """One file being read; `faults` are gathered on the way.

    A part that the schema doesn't accept isn't read any further. `walls_of` are the numbers of walls of the
    rooms by their names, None for a room that has a fault.
    """

    def __init__(self, data: Any, firm: Firm, reader: CatalogReader) -> None:
        self.data = data if isinstance(data, dict) else {}
        self.firm = firm
        self.reader = reader
        self.shape_faults = tuple(shape_faults(data))
        self.faults = list(self.shape_faults)
        self.walls_of: dict[str, int | None] = {}

    def job(self) -> Job:
        """Read the job and its client, stored neither."""
        typed = self._part("job")
        client = typed.get("client", {})
        form = NewJobForm(
            {
                "tax_policy": self.firm.tax_policy,
                "tax_percent": str(self.firm.tax_percent),
                **typed,
                "requested_on": typed.get("date", ""),
                **{f"client_{name}": text for name, text in client.items()},
                "client": "",
            },
            firm=self.firm,
            today=None,
        )
        if typed:
            self._add_form_faults("job", form, _JOB_NAMES)
        job: Job = form.instance
        job.client = Client(**{name: text.strip() for name, text in client.items()})
        return job

    def estimate(self, job: Job) -> Estimate:
        """Read the pricing, the firm's where the file says nothing, and the words of the estimate."""
        copied = {name: getattr(self.firm, name) for name in COPIED_FROM_FIRM}
        estimate = Estimate(job=job, dated=job.requested_on, **copied)
        blank = PricingForm(instance=estimate)
        from_firm = {name: blank[name].value() for name in blank.fields}
        form = PricingForm({**from_firm, **self._part("pricing")}, instance=estimate)
        self._add_form_faults("pricing", form)
        words = {name: getattr(estimate, name) for name in WordsForm.Meta.fields}
        for name in words:
            if name in self.data and self._has_shape(name):
                text = self.data[name]
                words[name] = "\n".join(text) if isinstance(text, list) else text
        self._add_form_faults("", WordsForm(words, instance=estimate))
        opened = self.data.get("opened", []) if self._has_shape("opened") else []
        estimate.opened = self._clean(
            "opened", forms.CharField(required=False, max_length=2000), "\n".join(opened)
        )
        return estimate

    def rooms(self) -> tuple[FileRoom, ...]:
        """Read the rooms that have no fault; each is named once."""
        rooms = []
        for place, typed in self._parts("rooms"):
            room, name = self._room(place, typed), typed["name"].strip()
            if name in self.walls_of:
                self._add_fault(
                    inside(place, "name"), f"two rooms are called “{name[:40]}”: give each its own."
                )
            self.walls_of[name] = len(room.forms.legs) if room else None
            if room:
                rooms.append(room)
        return tuple(rooms)

    def _room(self, place: str, typed: Mapping[str, Any]) -> FileRoom | None:
        room = RoomForms(metric=False, data=_posted(typed))
        valid = room.is_valid()
        self._add_form_faults(place, room.room, {"balanced": "walls"})
        for name in ROWS:
            for number, form in enumerate(getattr(room, name)):
                if form.is_bound:
                    self._add_form_faults(f"{place}.{name}[{number}]", form, {"degrees": "turn"})
        laid = {"finish": "tile", "thickness": "3/8 in", "under": "board-1/2", **typed.get("joists", {})}
        floor = FloorForm(laid, room=Room(), metric=False)
        self._add_form_faults(f"{place}.joists", floor)
        return FileRoom(room, floor.joists()) if valid and floor.is_valid() else None

    def items(self) -> tuple[FileItem, ...]:
        """Read the work items, after the rooms that they are done in."""
        return tuple(
            item
            for position, (place, typed) in enumerate(self._parts("work"))
            if (item := self._item(place, typed, position))
        )

    def _item(self, place: str, typed: Mapping[str, Any], position: int) -> FileItem | None:
        rooms = self._walls_by_room(place, typed.get("rooms", []))
        code: str | None = typed.get("assembly")
        item, assembly = WorkItem(position=position), None
        data = {"material_taxable": True, **typed}
        if code is not None:
            assembly = self._assembly(inside(place, "assembly"), code)
            if assembly is None:
                return None
            data = {"title": assembly.name, "phase": assembly.phase, "scope": assembly.scope, **data}
            item.assembly_id = self.reader.pk_of[code]
        data |= {name: typed[key] for name, key in _ITEM_NAMES.items() if key in typed}
        self._add_form_faults(place, WorkItemForm(data, instance=item), _ITEM_NAMES)
        if assembly is None:
            return FileItem(item)
        ticked = self._clean(inside(place, "conditions"), ConditionsField(), typed.get("conditions", []))
        item.conditions = ticked or ""
        overrides = self._overrides(place, assembly, typed.get("measures", []))
        supplies = self._supplies(place, assembly, typed.get("client_supplies", []))
        return FileItem(item, assembly, rooms, overrides, supplies)

    def _assembly(self, place: str, code: str) -> AssemblySpec | None:
        try:
            return self.reader.assembly_by_code(code)
        except KeyError:
            missing = f"the catalog has no assembly “{code[:80]}”."
            self._add_fault(place, missing if self.reader.pk_of else _EMPTY_CATALOG)
        except NestedInItself as error:
            self._add_fault(place, str(error))
        return None

    def _walls_by_room(self, place: str, uses: Sequence[Mapping[str, Any]]) -> dict[str, str]:
        """Read the walls chosen of each room, as they are stored; empty for all."""
        chosen: dict[str, str] = {}
        for number, use in enumerate(uses):
            use_place, name = f"{place}.rooms[{number}]", use["room"].strip()
            if name in chosen:
                self._add_fault(inside(use_place, "room"), f"“{name[:40]}” is named twice for this work.")
            elif name not in self.walls_of and self._has_shape("rooms"):
                known = ", ".join(self.walls_of) or "none"
                self._add_fault(
                    inside(use_place, "room"), f"no room here is called “{name[:40]}”: there is {known}."
                )
            walls, count = list(dict.fromkeys(use.get("walls", []))), self.walls_of.get(name)
            for letter in walls:
                if count is not None and wall_index(letter) >= count:
                    last = wall_letter(count - 1)
                    self._add_fault(
                        inside(use_place, "walls"),
                        f"{name[:40]} has no wall {letter}: its walls are A to {last}.",
                    )
            chosen[name] = ",".join(walls)
        return chosen

    def _overrides(
        self, place: str, assembly: AssemblySpec, put_in: Sequence[Mapping[str, Any]]
    ) -> tuple[MeasureOverride, ...]:
        used = measures_used(assembly)
        rows: dict[str, MeasureOverride] = {}
        for number, override in enumerate(put_in):
            override_place, code = f"{place}.measures[{number}]", override["measure"]
            if code not in used:
                self._add_fault(
                    inside(override_place, "measure"),
                    f"{assembly.name} doesn't use this: it uses {', '.join(used)}.",
                )
            if code in rows:
                self._add_fault(inside(override_place, "measure"), "this measure is put in twice: keep one.")
            field = AmountField(unit=MEASURES[code].unit)
            amount = self._clean(inside(override_place, "amount"), field, override["amount"])
            reason = self._clean(
                inside(override_place, "reason"),
                forms.CharField(required=code not in BY_HAND, max_length=200, error_messages=_SAY_WHY),
                override.get("reason", ""),
            )
            if amount is not None:
                rows[code] = MeasureOverride(
                    measure=code, amount=six_places(amount), typed=override["amount"], reason=reason or ""
                )
        return tuple(rows.values())

    def _supplies(
        self, place: str, assembly: AssemblySpec, brought: Sequence[Mapping[str, Any]]
    ) -> tuple[tuple[MaterialSpec, ClientSupply], ...]:
        used = {material.code: material for material in materials_used(assembly)}
        pks = {material.code: pk for pk, material in self.reader.materials.items()}
        rows: dict[str, ClientSupply] = {}
        for number, supply in enumerate(brought):
            supply_place, code = f"{place}.client_supplies[{number}]", supply["material"]
            if code not in used:
                known = ", ".join(used) or "none"
                self._add_fault(
                    inside(supply_place, "material"),
                    f"{assembly.name} takes no such material: it has {known}.",
                )
            elif code in rows:
                self._add_fault(inside(supply_place, "material"), "this material is named twice: keep one.")
            else:
                day = forms.DateField(required=False)
                needed_by = self._clean(inside(supply_place, "needed_by"), day, supply.get("needed_by"))
                rows[code] = ClientSupply(material_id=pks[code], needed_by=needed_by)
        return tuple((used[code], row) for code, row in rows.items())

    def allowances(self) -> tuple[Allowance, ...]:
        """Read the allowances."""
        rows = []
        for position, (place, typed) in enumerate(self._parts("allowances")):
            allowance = Allowance(position=position)
            given = {"phase": allowance.phase, "covers_tax": allowance.covers_tax, **typed}
            self._add_form_faults(place, AllowanceForm(given, instance=allowance))
            rows.append(allowance)
        return tuple(rows)

    def conditions(self) -> tuple[HiddenCondition, ...]:
        """Read the hidden conditions."""
        rows = []
        for position, (place, typed) in enumerate(self._parts("if_found")):
            condition = HiddenCondition(position=position)
            self._add_form_faults(place, ConditionForm(typed, instance=condition))
            rows.append(condition)
        return tuple(rows)

    def set_aside(self) -> dict[str, int]:
        """Read the assemblies that are set aside: their names and primary keys."""
        codes = self.data.get("set_aside", []) if self._has_shape("set_aside") else []
        assemblies = [self._assembly(f"set_aside[{number}]", code) for number, code in enumerate(codes)]
        return {assembly.name: self.reader.pk_of[assembly.code] for assembly in assemblies if assembly}

    def on_hand(self) -> dict[str, dict[str, str]]:
        """Read what is on hand, by the code of the material, as an estimate keeps it."""
        known = {material.code: material for material in self.reader.materials.values()}
        stock: dict[str, dict[str, str]] = {}
        for place, typed in self._parts("on_hand"):
            code = typed["material"]
            if code not in known:
                self._add_fault(inside(place, "material"), f"the catalog has no material “{code[:80]}”.")
            elif code in stock:
                self._add_fault(inside(place, "material"), "this material is named twice: keep one.")
            else:
                field = AmountField(unit=known[code].unit)
                amount = self._clean(inside(place, "amount"), field, typed["amount"])
                stock[code] = {"typed": f"{typed['amount']}", "amount": f"{amount or 0}"}
        return stock

    def _part(self, name: str) -> Mapping[str, Any]:
        """Return a part of the file, empty where it is missing or has a fault in its shape."""
        part: Mapping[str, Any] = self.data.get(name, {}) if self._has_shape(name) else {}
        return part

    def _parts(self, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
        """Yield the parts of a list that have no fault in their shape, each with its place."""
        listed = self.data.get(name, [])
        for number, typed in enumerate(listed if isinstance(listed, list) else []):
            if self._has_shape(f"{name}[{number}]"):
                yield f"{name}[{number}]", typed

    def _has_shape(self, place: str) -> bool:
        """Tell whether the schema accepts the value at a place, and all that is inside it."""
        return not any(
            fault.place == place or fault.place.startswith((f"{place}.", f"{place}["))
            for fault in self.shape_faults
        )

    def _add_form_faults(
        self, place: str, form: forms.BaseForm, names: Mapping[str, str] | None = None
    ) -> None:
        """Add what is wrong with a form; `names` are the file's names of its fields where they differ."""
        for field, sentences in form.errors.items():
            field_place = (
                place if field == NON_FIELD_ERRORS else inside(place, (names or {}).get(field, field))
            )
            self.faults += [Fault(field_place, str(sentence)) for sentence in sentences]

    def _clean(self, place: str, field: forms.Field, value: Any) -> Any:
        """Clean a value by a field of a form; None, with its faults added, where it can't be."""
        try:
            return field.clean(value)
        except ValidationError as error:
            self.faults += [Fault(place, sentence) for sentence in error.messages]
            return None

    def _add_fault(self, place: str, sentence: str) -> None:
        self.faults.append(Fault(place, sentence))


_SAY_WHY = {"required": "say why, so that the change can be read later."}


def _posted(typed: Mapping[str, Any]) -> dict[str, Any]:
    """Return a room of the file as the page of a room would post it."""
    posted = {name: value for name, value in typed.items() if name not in (*ROWS, "joists")}
    for name in ROWS:
        rows = typed.get(name, [])
        posted |= {f"{name}-TOTAL_FORMS": str(len(rows)), f"{name}-INITIAL_FORMS": str(len(rows))}
        for number, row in enumerate(rows):
            for key, value in _posted_row(name, row).items():
                if value is not None:
                    posted[f"{name}-{number}-{key}"] = value
    return posted


def _posted_row(name: str, row: Mapping[str, Any]) -> Mapping[str, Any]:
    if name == "fixed":
        return {"off_base": True, **row}
    if name in ("openings", "heights", "electrical"):
        return row
    degrees, _, direction = row.get("turn", "right").rpartition(" ")
    return {**row, "turn": f"{direction}-by" if degrees else direction, "degrees": degrees}
