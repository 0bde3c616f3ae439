"""Rows of the starting catalog as its files describe them, built and checked, not yet written."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any, ParamSpec, TypeVar

from django.core.exceptions import ValidationError
from django.db import models

from catalog.assemblies.component_rates import typed_rate
from catalog.assemblies.formulas import formula_of, rate_from
from catalog.measures.lengths import parse_length
from catalog.measures.rates import Rate, parse_rate
from catalog.measures.room_measures import BY_HAND, MEASURES, WALL_TILE_MEASURES
from catalog.measures.units import canonical_unit, convert, same_dimension
from catalog.models import (
    Assembly,
    CodedRow,
    Companion,
    Component,
    Kit,
    KitLine,
    Material,
    Operation,
    Package,
    Precedence,
    Supplier,
    hours_fault,
)
from catalog.money.amounts import parse_price
from catalog.phases import Phase
from catalog.starter.cycles import loops
from catalog.starter.files import KINDS, CatalogEntry, CatalogFiles, UnfitCatalog
from catalog.starter.shipped import Parts

MODELS: Mapping[str, type[CodedRow]] = dict(zip(KINDS, (Material, Operation, Assembly, Kit), strict=True))

Row = TypeVar("Row", bound=models.Model)
Given = ParamSpec("Given")
Value = TypeVar("Value")


# What an operation may have beside its hours.
_OPERATION_OPTIONS = ("set_up_hours", "wait_hours", "surface", "over_days")


@dataclass
class StarterRows:
    """Unsaved rows of all entries, by code, which point to each other; with the parts of each of them."""

    files: CatalogFiles
    materials: dict[str, Material] = field(default_factory=dict)
    operations: dict[str, Operation] = field(default_factory=dict)
    assemblies: dict[str, Assembly] = field(default_factory=dict)
    kits: dict[str, Kit] = field(default_factory=dict)
    packages: dict[str, list[Package]] = field(default_factory=dict)  # by code of the material
    components: dict[str, list[Component]] = field(default_factory=dict)  # by code of the assembly
    companions: dict[str, list[Companion]] = field(default_factory=dict)
    after: dict[str, list[Precedence]] = field(default_factory=dict)
    lines: dict[str, list[KitLine]] = field(default_factory=dict)  # by code of the kit
    faults: list[str] = field(default_factory=list)

    def build(self) -> None:
        """Build every row. Raises UnfitCatalog with all faults, those of the files among them."""
        entries = self.files.entries
        self.materials = {entry.code: self._material(entry) for entry in entries["materials"]}
        self.operations = {entry.code: self._operation(entry) for entry in entries["operations"]}
        self.assemblies = {entry.code: self._assembly(entry) for entry in entries["assemblies"]}
        self.kits = {entry.code: self._kit(entry) for entry in entries["kits"]}
        self.packages = {entry.code: self._packages(entry) for entry in entries["materials"]}
        for entry in entries["assemblies"]:
            self.components[entry.code] = self._components(entry)
            self.companions[entry.code] = self._others(entry, "companions", Companion, "companion")
            self.after[entry.code] = self._others(entry, "after", Precedence, "earlier")
        self.lines = {entry.code: self._lines(entry) for entry in entries["kits"]}
        self._check_loops()
        if faults := [*self.files.faults, *self.faults]:
            raise UnfitCatalog(faults)

    def by_kind(self) -> Mapping[str, Mapping[str, CodedRow]]:
        """Return the rows that have a code, by kind ("materials") and code."""
        return {
            "materials": self.materials,
            "operations": self.operations,
            "assemblies": self.assemblies,
            "kits": self.kits,
        }

    def parts_of(self, row: CodedRow) -> Parts:
        """Return the parts of a row, by the keys under which the values of a row name them."""
        match row:
            case Material():
                return {"packages": self.packages[row.code]}
            case Assembly():
                return {
                    "components": self.components[row.code],
                    "companions": self.companions[row.code],
                    "after": self.after[row.code],
                }
            case Kit():
                return {"assemblies": self.lines[row.code]}
        return {}

    def _material(self, entry: CatalogEntry) -> Material:
        data = entry.data
        sheet: dict[str, Any] = {
            ("thickness_nm" if side == "thickness" else f"sheet_{side}_nm"): self._read(
                f"{entry.where}: sheet {side}", parse_length, typed
            )
            for side, typed in data.get("sheet", {}).items()
        }
        unit = self._read(entry.where, canonical_unit, data["unit"]) or ""
        if "stick" in data and unit != "ft":
            self._fault(entry.where, f"it comes in sticks, which are cut by the ft, not by the {unit}.")
        given = {key: data[key] for key in ("kind", "taxable", "note", "sizes_of") if key in data}
        return self._row(
            entry.where,
            Material,
            code=entry.code,
            name=data["name"],
            unit=unit,
            source=data["source"],
            caution=self._caution(entry),
            sold_in_sticks="stick" in data,
            stick_width_nm=self._stick_width(entry),
            **sheet,
            **given,
        )

    def _stick_width(self, entry: CatalogEntry) -> int | None:
        """Return the length that a miter across a stick adds; None where the file doesn't say."""
        typed = entry.data.get("stick", {}).get("width")
        return self._read(f"{entry.where}: stick width", parse_length, typed) if typed else None

    def _packages(self, entry: CatalogEntry) -> list[Package]:
        packages = []
        for data in entry.data.get("packages", []):
            where = f"{entry.where}: {data['name']}"
            package = self._row(
                where,
                Package,
                material=self.materials[entry.code],
                supplier=Supplier(
                    name=data["supplier"], note="Invented for the demo, and so are its prices."
                ),
                name=data["name"],
                size=data["holds"],
                price=self._read(where, parse_price, data["price"]) or Decimal(0),
                priced_on=data["priced_on"],
            )
            packages.append(package)
        return packages

    def _operation(self, entry: CatalogEntry) -> Operation:
        data = entry.data
        unit = self._read(entry.where, canonical_unit, data["unit"])
        low, likely, high = (
            self._read(entry.where, parse_rate, data[key], "hour", unit) if unit else None
            for key in ("low", "hours", "high")
        )
        if low and likely and high and (fault := hours_fault(low.per_unit, likely.per_unit, high.per_unit)):
            self._fault(entry.where, fault)
        return self._row(
            entry.where,
            Operation,
            code=entry.code,
            name=data["name"],
            unit=unit or "each",
            rate_typed=data["hours"],
            hours_per_unit=likely.per_unit if likely else Fraction(1),
            low_typed=data["low"],
            low_hours_per_unit=low.per_unit if low else None,
            high_typed=data["high"],
            high_hours_per_unit=high.per_unit if high else None,
            source=data["source"],
            **{key: data[key] for key in _OPERATION_OPTIONS if key in data},
        )

    def _assembly(self, entry: CatalogEntry) -> Assembly:
        data = entry.data
        if data["phase"] not in Phase.values:
            self._fault(entry.where, f"there is no phase “{data['phase']}”.")
        if data["measure"] not in MEASURES:
            self._fault(entry.where, f"there is no measure “{data['measure']}”.")
        board = (
            self._find(entry.where, "materials", self.materials, data["board"]) if "board" in data else None
        )
        if board is not None and not board.sheet_length_nm:
            self._fault(entry.where, f"the board {board.code} has no sheet size.")
        tile = data.get("tile", {})
        keys = ("name", "purpose", "scope", "deduct_material", "deduct_labor", "source")
        return self._row(
            entry.where,
            Assembly,
            skip=("phase", "measure"),
            code=entry.code,
            phase=data["phase"],
            measure=data["measure"],
            plan_measure=self._plan_measure(entry),
            board=board,
            tile_joint_nm=self._read(f"{entry.where}: tile joint", _joint, tile["joint"]) if tile else None,
            tile_offset=tile.get("offset", ""),
            tile_pattern=tile.get("pattern", Assembly.TilePattern.STRAIGHT),
            caution=self._caution(entry),
            **{key: data[key] for key in keys if key in data},
        )

    def _plan_measure(self, entry: CatalogEntry) -> str:
        """Return the measure of the plan that stands for one entered by hand; empty for none."""
        code: str = entry.data.get("from_plan", "")
        if not code:
            return ""
        by_hand = entry.data["measure"]
        if code not in WALL_TILE_MEASURES:
            self._fault(entry.where, f"the plan gives no “{code}” in place of what is typed.")
        elif by_hand not in BY_HAND or MEASURES[by_hand].unit != MEASURES[code].unit:
            self._fault(entry.where, f"“{code}” can't stand for “{by_hand}”.")
        return code

    def _kit(self, entry: CatalogEntry) -> Kit:
        return self._row(entry.where, Kit, code=entry.code, name=entry.data["name"])

    def _caution(self, entry: CatalogEntry) -> str:
        """Return the entry's own caution and those that it names by code, a line each.

        What a caution says to whoever does the work is a line of its own.
        """
        known = {caution.code: caution.data for caution in self.files.entries.get("cautions", ())}
        lines = [entry.data["caution"]] if "caution" in entry.data else []
        for code in entry.data.get("cautions", []):
            if code not in known:
                if ("cautions", code) not in self.files.unfit:
                    self._fault(entry.where, f"there is no “{code}” among the cautions.")
                continue
            lines.append(known[code]["text"])
            if at_work := known[code].get("at_work"):
                lines.append(f"At work: {at_work}")
        return "\n".join(lines)

    def _components(self, entry: CatalogEntry) -> list[Component]:
        components = []
        for position, data in enumerate(entry.data["components"]):
            uses = [kind for kind in ("material", "operation", "assembly") if kind in data]
            if len(uses) == 1:
                components.append(self._component(entry, position, uses[0], data))
                continue
            self._fault(
                entry.where,
                f"component {position + 1} must use one thing: a material, an operation or an assembly.",
            )
        return components

    def _component(self, entry: CatalogEntry, position: int, use: str, data: Mapping[str, Any]) -> Component:
        where, assembly = f"{entry.where}: {data[use]}", self.assemblies[entry.code]
        kind = "assemblies" if use == "assembly" else f"{use}s"
        used = self._find(where=entry.where, kind=kind, rows=self.by_kind()[kind], code=data[use])
        scales_with = data.get("scales_with", "")
        measure = MEASURES.get(scales_with or assembly.measure)
        if scales_with and measure is None:
            self._fault(where, f"there is no measure “{scales_with}”.")
        if use == "material" and not data.get("source"):
            self._fault(where, "source is missing: say where the rate comes from.")
        unit = _unit(used)
        rate = self._rate(where, data, unit, measure.unit) if measure and unit else None
        keys = {"waste_percent": "waste"} | {
            key: key for key in ("formula", "times", "set_up", "set_up_per", "source")
        }
        given: dict[str, Any] = {column: data[key] for column, key in keys.items() if key in data}
        given["part" if use == "assembly" else use] = used
        return self._row(
            where,
            Component,
            assembly=assembly,
            position=position,
            scales_with=scales_with if measure else "",
            rate_typed=rate.typed if rate else "",
            rate=rate.per_unit if rate else Fraction(1),
            formula_inputs=data.get("inputs", {}),
            **given,
        )

    def _rate(self, where: str, data: Mapping[str, Any], of: str, per: str) -> Rate | None:
        """Return how much one unit of the measure takes; one for one where labor gives no rate.

        None after a fault.
        """
        if "formula" in data and "rate" in data:
            self._fault(where, "give a rate or a formula, not both.")
        elif "formula" in data:
            return self._read(where, _formula_rate, data["formula"], data.get("inputs", {}), of, per)
        elif "rate" in data:
            return self._read(where, parse_rate, data["rate"], of, per)
        elif "material" in data:
            self._fault(where, "give a rate or a formula.")
        elif same_dimension(of, per):
            return typed_rate("", of, per)
        else:
            self._fault(where, f"it is counted in {of}, the measure in {per}: give a rate.")
        return None

    def _others(self, entry: CatalogEntry, key: str, model: type[Row], column: str) -> list[Row]:
        """Return the rows in which an assembly names others; an assembly that isn't there is a fault."""
        columns: list[dict[str, Any]] = [
            {
                "assembly": self.assemblies[entry.code],
                column: self._find(entry.where, "assemblies", self.assemblies, data["assembly"]),
                "reason": data["reason"],
            }
            for data in entry.data.get(key, [])
        ]
        return [self._row(entry.where, model, **values) for values in columns if values[column] is not None]

    def _lines(self, entry: CatalogEntry) -> list[KitLine]:
        return [
            self._row(
                entry.where,
                KitLine,
                kit=self.kits[entry.code],
                assembly=self._find(entry.where, "assemblies", self.assemblies, code),
                position=position,
            )
            for position, code in enumerate(entry.data["assemblies"])
        ]

    def _find(self, where: str, kind: str, rows: Mapping[str, Value], code: str) -> Value | None:
        """Return the row with this code; where there is none, note a fault and return None."""
        row = rows.get(code)
        if row is None and (kind, code) not in self.files.unfit:
            self._fault(where, f"there is no “{code}” among the {kind}.")
        return row

    def _read(
        self, where: str, read: Callable[Given, Value], *args: Given.args, **kwargs: Given.kwargs
    ) -> Value | None:
        """Return what a rule reads from text; where it refuses, note a fault and return None."""
        try:
            return read(*args, **kwargs)
        except ValueError as error:
            self._fault(where, str(error))
            return None

    def _row(self, where: str, model: type[Row], skip: tuple[str, ...] = (), **values: Any) -> Row:
        """Return an unsaved row, its plain columns checked as the model says."""
        row = model(**values)
        keys = [column.name for column in model._meta.concrete_fields if column.is_relation]
        try:
            row.clean_fields(exclude={*keys, *skip})
        except ValidationError as error:
            for name, messages in error.message_dict.items():
                for message in messages:
                    self._fault(where, f"{name}: {message}")
        return row

    def _check_loops(self) -> None:
        nested = [(row.assembly, row.part) for rows in self.components.values() for row in rows]
        ordered = [(row.assembly, row.earlier) for rows in self.after.values() for row in rows]
        where = {entry.code: entry.where for entry in self.files.entries["assemblies"]}
        for loop in loops(nested, ordered):
            self._fault(where[loop.code], loop.sentence)

    def _fault(self, where: str, sentence: str) -> None:
        self.faults.append(f"{where}: {sentence}")


def _joint(typed: str) -> int:
    return parse_length(typed, bare="in", allow_zero=True)


def _formula_rate(code: str, inputs: Mapping[str, str], of: str, per: str) -> Rate:
    """Return the rate of a formula in `of` units for one `per` unit. Raises ValueError, naming both units."""
    formula, rate = formula_of(code), rate_from(code, inputs)
    factor = convert(Fraction(1), formula.of, of) / convert(Fraction(1), formula.per, per)
    return Rate(rate.typed, rate.per_unit * factor)


def _unit(row: CodedRow | None) -> str:
    """Return the unit that a rate counts this in; empty for what isn't there or has no known measure."""
    if row is None or isinstance(row, Kit):
        return ""
    if isinstance(row, Assembly) and row.measure not in MEASURES:
        return ""
    return row.unit
