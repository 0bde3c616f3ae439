"""Rows of the starting catalog, built from its files and checked, not yet written."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from graphlib import CycleError, TopologicalSorter
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from catalog.expansion import NestedInItself
from catalog.formulas import FORMULAS, UnknownFormula, rate_from
from catalog.measures import MEASURES
from catalog.models import (
    Assembly,
    Bundle,
    BundleLine,
    Companion,
    Component,
    Material,
    Operation,
    Package,
    Supplier,
)
from catalog.money import parse_price
from catalog.phases import Phase
from catalog.starter_files import KINDS, Entry, UnfitCatalog
from catalog.units import Rate, canonical_unit, convert, parse_length, parse_rate, same_dimension

MODELS: Mapping[str, type[models.Model]] = dict(
    zip(KINDS, (Material, Operation, Assembly, Bundle), strict=True)
)


@dataclass
class StarterRows:
    """Unsaved rows of the entries whose code the firm doesn't have.

    They point to the firm's own rows where it has them, so that a rate is read in the unit that the
    firm's material is in.
    """

    entries: Mapping[str, list[Entry]]
    have: Mapping[str, Mapping[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    new: dict[str, dict[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    parts: dict[type[models.Model], list[Any]] = field(
        default_factory=lambda: {model: [] for model in (Package, Component, Companion, BundleLine)}
    )
    suppliers: dict[str, Supplier] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def build(self) -> None:
        """Build every row. Raises UnfitCatalog with all faults."""
        heads: Mapping[str, Callable[[Entry], models.Model]] = {
            "materials": self._material,
            "operations": self._operation,
            "assemblies": self._assembly,
            "bundles": lambda entry: self._row(entry.where, Bundle, code=entry.code, name=entry.data["name"]),
        }
        missing = {
            kind: [entry for entry in self.entries[kind] if entry.code not in self.have[kind]]
            for kind in KINDS
        }
        for kind, head in heads.items():
            self.new[kind] = {entry.code: head(entry) for entry in missing[kind]}
        for entry in missing["materials"]:
            self._sold_in(entry)
        for entry in missing["assemblies"]:
            self._made_of(entry)
        for entry in missing["bundles"]:
            for place, code in enumerate(entry.data["assemblies"]):
                self._part(
                    entry.where,
                    BundleLine,
                    bundle=self.new["bundles"][entry.code],
                    assembly=self._find(entry.where, "assemblies", code),
                    position=place,
                )
        self._check_names()
        self._check_nesting()
        if self.faults:
            raise UnfitCatalog(self.faults)

    def save(self) -> None:
        """Write what `build` made. For use inside a transaction."""
        known = {row.name: row for row in Supplier.objects.filter(name__in=self.suppliers)}
        Supplier.objects.bulk_create(row for name, row in self.suppliers.items() if name not in known)
        for package in self.parts[Package]:
            package.supplier = known.get(package.supplier.name, package.supplier)
        for kind, model in MODELS.items():
            model.objects.bulk_create(self.new[kind].values())
        for model, rows in self.parts.items():
            model.objects.bulk_create(rows)

    def _material(self, entry: Entry) -> Material:
        data = entry.data
        sheet = {
            ("thickness_nm" if side == "thickness" else f"sheet_{side}_nm"): self._read(
                f"{entry.where}: sheet {side}", parse_length, typed
            )
            for side, typed in data.get("sheet", {}).items()
        }
        given = {key: data[key] for key in ("kind", "taxable", "caution", "note") if key in data}
        return self._row(
            entry.where,
            Material,
            code=entry.code,
            name=data["name"],
            unit=self._read(entry.where, canonical_unit, data["unit"]) or "",
            source=data["source"],
            **sheet,
            **given,
        )

    def _sold_in(self, entry: Entry) -> None:
        for data in entry.data.get("packages", []):
            where = f"{entry.where}: {data['name']}"
            self._part(
                where,
                Package,
                material=self.new["materials"][entry.code],
                supplier=self.suppliers.setdefault(
                    data["supplier"],
                    Supplier(name=data["supplier"], note="Invented for the demo, and so are its prices."),
                ),
                name=data["name"],
                size=data["holds"],
                price=self._read(where, parse_price, data["price"]) or Decimal(0),
                priced_on=data["priced_on"],
            )

    def _operation(self, entry: Entry) -> Operation:
        data = entry.data
        unit = self._read(entry.where, canonical_unit, data["unit"])
        rate = self._read(entry.where, parse_rate, data["hours"], "hour", unit) if unit else None
        return self._row(
            entry.where,
            Operation,
            code=entry.code,
            name=data["name"],
            unit=unit or "each",
            rate_typed=data["hours"],
            hours_per_unit=rate.per_unit if rate else Fraction(1),
            source=data["source"],
            **{key: data[key] for key in ("set_up_hours", "wait_hours") if key in data},
        )

    def _assembly(self, entry: Entry) -> Assembly:
        data = entry.data
        if data["phase"] not in Phase.values:
            self._fault(entry.where, f"there is no phase “{data['phase']}”.")
        if data["measure"] not in MEASURES:
            self._fault(entry.where, f"there is no measure “{data['measure']}”.")
        keys = ("name", "scope", "caution", "deduct_material", "deduct_labour", "source")
        board = self._find(entry.where, "materials", data["board"]) if "board" in data else None
        if board is not None and not board.sheet_length_nm:
            self._fault(entry.where, f"the board {board.code} has no sheet size.")
        return self._row(
            entry.where,
            Assembly,
            skip=("phase", "measure"),
            code=entry.code,
            phase=data["phase"],
            measure=data["measure"],
            board=board,
            **{key: data[key] for key in keys if key in data},
        )

    def _made_of(self, entry: Entry) -> None:
        assembly = self.new["assemblies"][entry.code]
        for place, data in enumerate(entry.data["components"]):
            uses = [kind for kind in ("material", "operation", "assembly") if kind in data]
            if len(uses) != 1:
                self._fault(
                    entry.where,
                    f"component {place + 1} must use one thing: a material, an operation or an assembly.",
                )
                continue
            self._component(entry, assembly, place, uses[0], data)
        for data in entry.data.get("companions", []):
            self._part(
                entry.where,
                Companion,
                assembly=assembly,
                companion=self._find(entry.where, "assemblies", data["assembly"]),
                reason=data["reason"],
            )

    def _component(
        self, entry: Entry, assembly: Assembly, place: int, use: str, data: Mapping[str, Any]
    ) -> None:
        where = f"{entry.where}: {data[use]}"
        scales_with = data.get("scales_with", "")
        used = self._find(entry.where, "assemblies" if use == "assembly" else f"{use}s", data[use])
        measure = MEASURES.get(scales_with or assembly.measure)
        if scales_with and measure is None:
            self._fault(where, f"there is no measure “{scales_with}”.")
        if use == "material" and not data.get("source"):
            self._fault(where, "source is missing: say where the rate comes from.")
        unit = (MEASURES[used.measure].unit if used.measure in MEASURES else "") if use == "assembly" else ""
        unit = unit or getattr(used, "unit", "")
        rate = self._rate(where, data, unit, measure.unit) if measure and unit else None
        keys = {"waste_percent": "waste"} | {
            key: key for key in ("formula", "times", "set_up", "set_up_per", "source")
        }
        self._part(
            where,
            Component,
            assembly=assembly,
            position=place,
            scales_with=scales_with if measure else "",
            rate_typed=rate.typed if rate else "",
            rate=rate.per_unit if rate else Fraction(1),
            formula_inputs=data.get("inputs", {}),
            **{"part" if use == "assembly" else use: used},
            **{column: data[key] for column, key in keys.items() if key in data},
        )

    def _rate(self, where: str, data: Mapping[str, Any], of: str, per: str) -> Rate | None:
        """How much of it one unit of the measure takes; one where labour is counted as it is measured."""
        if "formula" in data and "rate" in data:
            self._fault(where, "give a rate or a formula, not both.")
        elif "formula" in data:
            return self._read(where, _worked_out, data["formula"], data.get("inputs", {}), of, per)
        elif "rate" in data:
            return self._read(where, parse_rate, data["rate"], of, per)
        elif "material" in data:
            self._fault(where, "give a rate or a formula.")
        elif not same_dimension(of, per):
            self._fault(where, f"it is counted in {of}, the measure in {per}: give a rate.")
        return Rate("", Fraction(1))

    def _find(self, where: str, kind: str, code: str) -> Any:
        found = self.have[kind].get(code) or self.new[kind].get(code)
        if found is None:
            self._fault(where, f"there is no “{code}” among the {kind}.")
        return found

    def _read(self, where: str, read_text: Callable[..., Any], *args: Any) -> Any:
        try:
            return read_text(*args)
        except (ValueError, UnknownFormula) as error:
            self._fault(where, str(error))
            return None

    def _part(self, where: str, model: type[models.Model], **values: Any) -> None:
        self.parts[model].append(self._row(where, model, **values))

    def _row(
        self, where: str, model: type[models.Model], skip: tuple[str, ...] = (), **values: Any
    ) -> models.Model:
        """An unsaved row, its plain columns checked as the model says."""
        row = model(**values)
        keys = [column.name for column in model._meta.concrete_fields if column.is_relation]
        try:
            row.clean_fields(exclude={*keys, *skip})
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                for message in messages:
                    self._fault(where, f"{name}: {message}")
        return row

    def _check_names(self) -> None:
        """A new row can't take the name of a row that the firm has under another code."""
        for kind in KINDS:
            taken = {row.name: row.code for row in self.have[kind].values()}
            for entry in self.entries[kind]:
                if entry.code in self.new[kind] and (name := entry.data["name"]) in taken:
                    self._fault(
                        entry.where, f"you have “{name}” already, as {taken[name]}: rename that one first."
                    )

    def _check_nesting(self) -> None:
        parts: dict[str, set[str]] = {code: set() for code in self.new["assemblies"]}
        for component in self.parts[Component]:
            if component.part is not None:
                parts[component.assembly.code].add(component.part.code)
        try:
            TopologicalSorter(parts).prepare()
        except CycleError as error:
            cycle = tuple(reversed(error.args[1]))
            where = next(entry.where for entry in self.entries["assemblies"] if entry.code == cycle[0])
            self._fault(
                where, str(NestedInItself(tuple(self.new["assemblies"][code].name for code in cycle)))
            )

    def _fault(self, where: str, sentence: str) -> None:
        self.faults.append(f"{where}: {sentence}")


def _worked_out(formula: str, inputs: Mapping[str, str], of: str, per: str) -> Rate:
    """The rate of a formula in `of` units for one `per` unit."""
    rate = rate_from(formula, inputs)
    known = FORMULAS[formula]
    factor = convert(Fraction(1), known.of, of) / convert(Fraction(1), known.per, per)
    return Rate(rate.typed, rate.per_unit * factor)
