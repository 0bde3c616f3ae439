"""From the text of an estimate file to its rows, or to every fault in it with its place."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from catalog.assemblies.expansion import (
    AssemblySpec,
    MaterialSpec,
    NestedInItself,
    materials_used,
    measures_used,
)
from catalog.fields.form import AmountField
from catalog.measures.room_measures import BY_HAND, MEASURES
from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from estimating.estimate_file.rows import EstimateFile, FileItem, FileRoom
from estimating.estimate_file.schema import Fault, UnfitFile, inside, parse, schema, shape_faults
from estimating.forms.hidden_conditions import ConditionForm
from estimating.forms.jobs import NewJobForm
from estimating.forms.prices import PricingForm, WordsForm
from estimating.forms.room_entry import ROWS
from estimating.forms.rooms import RoomForms
from estimating.forms.work import AllowanceForm, WorkItemForm, six_places
from estimating.models import (
    Allowance,
    Client,
    ClientSupply,
    Estimate,
    HiddenCondition,
    Job,
    MeasureOverride,
    WorkItem,
    wall_index,
)
from estimating.models.estimate import COPIED_FROM_FIRM
from estimating.rooms.measures import wall_letter

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


def read(text: str, firm: Firm, specs: CatalogSpecs) -> EstimateFile:
    """Read a file; what it leaves out is the firm's. Raises UnfitFile with all faults at once."""
    reading = _Reading(parse(text), firm, specs)
    job, rooms = reading.job(), reading.rooms()
    estimate = reading.estimate(job)
    items, allowances, set_aside = reading.items(), reading.allowances(), reading.set_aside()
    conditions = reading.conditions()
    if reading.faults:
        raise UnfitFile(list(dict.fromkeys(reading.faults)))
    return EstimateFile(firm, job, rooms, estimate, items, allowances, set_aside, conditions)


class _Reading:
    """One file being read. What has a fault in its shape isn't looked at closer."""

    def __init__(self, data: Any, firm: Firm, specs: CatalogSpecs) -> None:
        self.data = data if isinstance(data, dict) else {}
        self.firm = firm
        self.specs = specs
        self.out_of_shape = tuple(shape_faults(data, schema()))
        self.faults = list(self.out_of_shape)
        self.walls_of: dict[str, int | None] = {}

    def job(self) -> Job:
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
            self._note("job", form, _JOB_NAMES)
        job = form.instance
        job.client = Client(**{name: text.strip() for name, text in client.items()})
        return job

    def estimate(self, job: Job) -> Estimate:
        copied = {name: getattr(self.firm, name) for name in COPIED_FROM_FIRM}
        estimate = Estimate(job=job, dated=job.requested_on, **copied)
        blank = PricingForm(instance=estimate)
        firms = {name: blank[name].value() for name in blank.fields}
        form = PricingForm({**firms, **self._part("pricing")}, instance=estimate)
        del form.fields["dated"]
        self._note("pricing", form)
        words = {name: getattr(estimate, name) for name in WordsForm.Meta.fields}
        for name in words:
            if name in self.data and self._sound(name):
                text = self.data[name]
                words[name] = "\n".join(text) if isinstance(text, list) else text
        self._note("", WordsForm(words, instance=estimate))
        opened = self.data.get("opened", []) if self._sound("opened") else []
        estimate.opened = self._clean(
            "opened", forms.CharField(required=False, max_length=2000), "\n".join(opened)
        )
        return estimate

    def rooms(self) -> tuple[FileRoom, ...]:
        rooms = []
        for place, typed in self._parts("rooms"):
            room, name = self._room(place, typed), typed["name"].strip()
            if name in self.walls_of:
                self._fault(inside(place, "name"), f"two rooms are called “{name[:40]}”: give each its own.")
            self.walls_of[name] = len(room.forms.legs) if room else None
            if room:
                rooms.append(room)
        return tuple(rooms)

    def _room(self, place: str, typed: Mapping[str, Any]) -> FileRoom | None:
        room = RoomForms(metric=False, data=_posted(typed))
        valid = room.is_valid()
        self._note(place, room.room, {"balanced": "walls"})
        for name in ROWS:
            for number, form in enumerate(getattr(room, name)):
                if form.is_bound:
                    self._note(f"{place}.{name}[{number}]", form, {"degrees": "turn"})
        if not valid:
            return None
        return FileRoom(room)

    def items(self) -> tuple[FileItem, ...]:
        return tuple(
            item
            for position, (place, typed) in enumerate(self._parts("work"))
            if (item := self._item(place, typed, position))
        )

    def _item(self, place: str, typed: Mapping[str, Any], position: int) -> FileItem | None:
        rooms = self._rooms_of(place, typed.get("rooms", []))
        code, assembly = typed.get("assembly"), None
        data = {"material_taxable": True, **typed}
        if code is not None:
            assembly = self._assembly(inside(place, "assembly"), code)
            if assembly is None:
                return None
            data = {"title": assembly.name, "phase": assembly.phase, "scope": assembly.scope, **data}
        item = WorkItem(position=position, assembly_id=self.specs.pk_of.get(code))
        data |= {name: typed[key] for name, key in _ITEM_NAMES.items() if key in typed}
        self._note(place, WorkItemForm(data, instance=item), _ITEM_NAMES)
        if assembly is None:
            return FileItem(item)
        overrides = self._overrides(place, assembly, typed.get("measures", []))
        supplies = self._supplies(place, assembly, typed.get("client_supplies", []))
        return FileItem(item, assembly, rooms, overrides, supplies)

    def _assembly(self, place: str, code: str) -> AssemblySpec | None:
        try:
            return self.specs.assembly_by_code(code)
        except KeyError:
            missing = f"the catalog has no assembly “{code[:80]}”."
            self._fault(place, missing if self.specs.pk_of else _EMPTY_CATALOG)
        except NestedInItself as error:
            self._fault(place, str(error))
        return None

    def _rooms_of(self, place: str, uses: Sequence[Mapping[str, Any]]) -> dict[str, str]:
        """The walls chosen of each room, as they are stored; empty for all."""
        chosen: dict[str, str] = {}
        for number, use in enumerate(uses):
            at, name = f"{place}.rooms[{number}]", use["room"].strip()
            if name in chosen:
                self._fault(inside(at, "room"), f"“{name[:40]}” is named twice for this work.")
            elif name not in self.walls_of and self._sound("rooms"):
                known = ", ".join(self.walls_of) or "none"
                self._fault(inside(at, "room"), f"no room here is called “{name[:40]}”: there is {known}.")
            walls, count = list(dict.fromkeys(use.get("walls", []))), self.walls_of.get(name)
            for letter in walls:
                if count is not None and wall_index(letter) >= count:
                    last = wall_letter(count - 1)
                    self._fault(
                        inside(at, "walls"), f"{name[:40]} has no wall {letter}: its walls are A to {last}."
                    )
            chosen[name] = ",".join(walls)
        return chosen

    def _overrides(
        self, place: str, assembly: AssemblySpec, put_in: Sequence[Mapping[str, Any]]
    ) -> tuple[MeasureOverride, ...]:
        used, rows = measures_used(assembly), {}
        for number, each in enumerate(put_in):
            at, code = f"{place}.measures[{number}]", each["measure"]
            if code not in used:
                self._fault(
                    inside(at, "measure"), f"{assembly.name} doesn't use this: it uses {', '.join(used)}."
                )
            if code in rows:
                self._fault(inside(at, "measure"), "this measure is put in twice: keep one.")
            field = AmountField(unit=MEASURES[code].unit)
            amount = self._clean(inside(at, "amount"), field, each["amount"])
            reason = self._clean(
                inside(at, "reason"),
                forms.CharField(required=code not in BY_HAND, max_length=200, error_messages=_SAY_WHY),
                each.get("reason", ""),
            )
            if amount is not None:
                rows[code] = MeasureOverride(
                    measure=code, amount=six_places(amount), typed=each["amount"], reason=reason or ""
                )
        return tuple(rows.values())

    def _supplies(
        self, place: str, assembly: AssemblySpec, brought: Sequence[Mapping[str, Any]]
    ) -> tuple[tuple[MaterialSpec, ClientSupply], ...]:
        used = {each.code: each for each in materials_used(assembly)}
        pks = {spec.code: pk for pk, spec in self.specs.materials.items()}
        rows: dict[str, ClientSupply] = {}
        for number, each in enumerate(brought):
            at, code = f"{place}.client_supplies[{number}]", each["material"]
            if code not in used:
                known = ", ".join(used) or "none"
                self._fault(
                    inside(at, "material"), f"{assembly.name} takes no such material: it has {known}."
                )
            elif code in rows:
                self._fault(inside(at, "material"), "this material is named twice: keep one.")
            else:
                day = forms.DateField(required=False)
                needed_by = self._clean(inside(at, "needed_by"), day, each.get("needed_by"))
                rows[code] = ClientSupply(material_id=pks[code], needed_by=needed_by)
        return tuple((used[code], row) for code, row in rows.items())

    def allowances(self) -> tuple[Allowance, ...]:
        rows = []
        for position, (place, typed) in enumerate(self._parts("allowances")):
            blank = Allowance(position=position)
            given = {"phase": blank.phase, "covers_tax": blank.covers_tax, **typed}
            self._note(place, AllowanceForm(given, instance=blank))
            rows.append(blank)
        return tuple(rows)

    def conditions(self) -> tuple[HiddenCondition, ...]:
        rows = []
        for position, (place, typed) in enumerate(self._parts("if_found")):
            blank = HiddenCondition(position=position)
            self._note(place, ConditionForm(typed, instance=blank))
            rows.append(blank)
        return tuple(rows)

    def set_aside(self) -> dict[str, int]:
        """Names and primary keys of the assemblies that are set aside."""
        codes = self.data.get("set_aside", []) if self._sound("set_aside") else []
        named = [self._assembly(f"set_aside[{number}]", code) for number, code in enumerate(codes)]
        return {each.name: self.specs.pk_of[each.code] for each in named if each}

    def _part(self, name: str) -> Mapping[str, Any]:
        """A part of the file, empty where it is missing or has a fault in its shape."""
        return self.data.get(name, {}) if self._sound(name) else {}

    def _parts(self, name: str) -> Iterator[tuple[str, Mapping[str, Any]]]:
        """The parts of a list without a fault in their shape, each with its place."""
        listed = self.data.get(name, [])
        for number, typed in enumerate(listed if isinstance(listed, list) else []):
            if self._sound(f"{name}[{number}]"):
                yield f"{name}[{number}]", typed

    def _sound(self, place: str) -> bool:
        return not any(
            each.place == place or each.place.startswith((f"{place}.", f"{place}["))
            for each in self.out_of_shape
        )

    def _note(self, place: str, form: forms.BaseForm, names: Mapping[str, str] | None = None) -> None:
        """Keep what is wrong with a form, at the names that the file has for its fields."""
        for field, sentences in form.errors.items():
            at = (
                place
                if field == forms.forms.NON_FIELD_ERRORS
                else inside(place, (names or {}).get(field, field))
            )
            self.faults += [Fault(at, sentence) for sentence in sentences]

    def _clean(self, place: str, field: forms.Field, value: Any) -> Any:
        try:
            return field.clean(value)
        except ValidationError as error:
            self.faults += [Fault(place, sentence) for sentence in error.messages]
            return None

    def _fault(self, place: str, sentence: str) -> None:
        self.faults.append(Fault(place, sentence))


_SAY_WHY = {"required": "say why, so that the change can be read later."}


def _posted(typed: Mapping[str, Any]) -> dict[str, Any]:
    """A room of the file as the page of a room would send it."""
    sent = {name: value for name, value in typed.items() if name not in ROWS}
    for name in ROWS:
        rows = typed.get(name, [])
        sent |= {f"{name}-TOTAL_FORMS": str(len(rows)), f"{name}-INITIAL_FORMS": str(len(rows))}
        for number, row in enumerate(rows):
            for key, value in _row(name, row).items():
                if value is not None:
                    sent[f"{name}-{number}-{key}"] = value
    return sent


def _row(name: str, row: Mapping[str, Any]) -> Mapping[str, Any]:
    if name == "fixed":
        return {"off_base": True, **row}
    if name == "openings":
        return row
    degrees, _, way = row.get("turn", "right").rpartition(" ")
    return {**row, "turn": f"{way}-by" if degrees else way, "degrees": degrees}
