"""Rows of the starting catalog as its files ship them, built and checked, not yet written."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models

from catalog.assemblies.formulas import FORMULAS, UnknownFormula, rate_from
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import Rate, canonical_unit, convert, parse_length, parse_rate, same_dimension
from catalog.models import (
    Assembly,
    Bundle,
    BundleLine,
    Companion,
    Component,
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
from catalog.starter.files import KINDS, Entry, Files, UnfitCatalog

MODELS: Mapping[str, type[models.Model]] = dict(
    zip(KINDS, (Material, Operation, Assembly, Bundle), strict=True)
)


@dataclass
class StarterRows:
    """Unsaved rows of all entries, which point to each other; `parts` holds those of each head."""

    files: Files
    heads: dict[str, dict[str, Any]] = field(default_factory=lambda: {kind: {} for kind in KINDS})
    parts: dict[tuple[str, str], dict[str, list[Any]]] = field(default_factory=dict)
    faults: list[str] = field(default_factory=list)

    def build(self) -> None:
        """Build every row. Raises UnfitCatalog with all faults, those of the files among them."""
        heads: Mapping[str, Callable[[Entry], models.Model]] = {
            "materials": self._material,
            "operations": self._operation,
            "assemblies": self._assembly,
            "bundles": lambda entry: self._row(entry.where, Bundle, code=entry.code, name=entry.data["name"]),
        }
        parts: Mapping[str, Callable[[Entry], dict[str, list[Any]]]] = {
            "materials": self._sold_in,
            "operations": lambda entry: {},
            "assemblies": self._made_of,
            "bundles": self._bundled,
        }
        for kind, head in heads.items():
            self.heads[kind] = {entry.code: head(entry) for entry in self.entries[kind]}
        for kind, own in parts.items():
            self.parts |= {(kind, entry.code): own(entry) for entry in self.entries[kind]}
        self._check_loops()
        if faults := [*self.files.faults, *self.faults]:
            raise UnfitCatalog(faults)

    @property
    def entries(self) -> Mapping[str, list[Entry]]:
        return self.files.entries

    def _material(self, entry: Entry) -> Material:
        data = entry.data
        sheet = {
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

    def _stick_width(self, entry: Entry) -> int | None:
        """What a miter across a stick adds; None where the file doesn't say."""
        typed = entry.data.get("stick", {}).get("width")
        return self._read(f"{entry.where}: stick width", parse_length, typed) if typed else None

    def _sold_in(self, entry: Entry) -> dict[str, list[Any]]:
        packages = []
        for data in entry.data.get("packages", []):
            where = f"{entry.where}: {data['name']}"
            package = self._row(
                where,
                Package,
                material=self.heads["materials"][entry.code],
                supplier=Supplier(
                    name=data["supplier"], note="Invented for the demo, and so are its prices."
                ),
                name=data["name"],
                size=data["holds"],
                price=self._read(where, parse_price, data["price"]) or Decimal(0),
                priced_on=data["priced_on"],
            )
            packages.append(package)
        return {"packages": packages}

    def _operation(self, entry: Entry) -> Operation:
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
            **{key: data[key] for key in ("set_up_hours", "wait_hours") if key in data},
        )

    def _assembly(self, entry: Entry) -> Assembly:
        data = entry.data
        if data["phase"] not in Phase.values:
            self._fault(entry.where, f"there is no phase “{data['phase']}”.")
        if data["measure"] not in MEASURES:
            self._fault(entry.where, f"there is no measure “{data['measure']}”.")
        keys = ("name", "purpose", "scope", "deduct_material", "deduct_labor", "source")
        board = self._find(entry.where, "materials", data["board"]) if "board" in data else None
        if board is not None and not board.sheet_length_nm:
            self._fault(entry.where, f"the board {board.code} has no sheet size.")
        tile = data.get("tile", {})
        joint = self._read(f"{entry.where}: tile joint", _joint, tile["joint"]) if tile else None
        return self._row(
            entry.where,
            Assembly,
            skip=("phase", "measure"),
            code=entry.code,
            phase=data["phase"],
            measure=data["measure"],
            board=board,
            tile_joint_nm=joint,
            tile_offset=tile.get("offset", ""),
            caution=self._caution(entry),
            **{key: data[key] for key in keys if key in data},
        )

    def _caution(self, entry: Entry) -> str:
        """Its own caution and those that it names, a line each."""
        known = {each.code: each.data["text"] for each in self.entries.get("cautions", ())}
        lines = [entry.data["caution"]] if "caution" in entry.data else []
        for code in entry.data.get("cautions", []):
            if code not in known and ("cautions", code) not in self.files.unfit:
                self._fault(entry.where, f"there is no “{code}” among the cautions.")
            lines.append(known.get(code, ""))
        return "\n".join(lines)

    def _made_of(self, entry: Entry) -> dict[str, list[Any]]:
        assembly = self.heads["assemblies"][entry.code]
        components = []
        for place, data in enumerate(entry.data["components"]):
            uses = [kind for kind in ("material", "operation", "assembly") if kind in data]
            if len(uses) == 1:
                components.append(self._component(entry, assembly, place, uses[0], data))
                continue
            self._fault(
                entry.where,
                f"component {place + 1} must use one thing: a material, an operation or an assembly.",
            )
        return {
            "components": components,
            "companions": self._pairs(entry, "companions", Companion, "companion"),
            "after": self._pairs(entry, "after", Precedence, "earlier"),
        }

    def _pairs(self, entry: Entry, key: str, model: type[models.Model], column: str) -> list[Any]:
        """What an assembly says of others, each with its reason; those that aren't there are faults."""
        found = [
            (self._find(entry.where, "assemblies", data["assembly"]), data["reason"])
            for data in entry.data.get(key, [])
        ]
        assembly = self.heads["assemblies"][entry.code]
        return [
            self._row(entry.where, model, assembly=assembly, reason=reason, **{column: other})
            for other, reason in found
            if other is not None
        ]

    def _bundled(self, entry: Entry) -> dict[str, list[Any]]:
        bundle = self.heads["bundles"][entry.code]
        lines = [
            self._row(
                entry.where,
                BundleLine,
                bundle=bundle,
                assembly=self._find(entry.where, "assemblies", code),
                position=place,
            )
            for place, code in enumerate(entry.data["assemblies"])
        ]
        return {"assemblies": lines}

    def _component(
        self, entry: Entry, assembly: Assembly, place: int, use: str, data: Mapping[str, Any]
    ) -> Component:
        where = f"{entry.where}: {data[use]}"
        scales_with = data.get("scales_with", "")
        used = self._find(entry.where, "assemblies" if use == "assembly" else f"{use}s", data[use])
        measure = MEASURES.get(scales_with or assembly.measure)
        if scales_with and measure is None:
            self._fault(where, f"there is no measure “{scales_with}”.")
        if use == "material" and not data.get("source"):
            self._fault(where, "source is missing: say where the rate comes from.")
        unit = unit_of(used) if used is not None else ""
        rate = self._rate(where, data, unit, measure.unit) if measure and unit else None
        keys = {"waste_percent": "waste"} | {
            key: key for key in ("formula", "times", "set_up", "set_up_per", "source")
        }
        return self._row(
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
        """How much of it one unit of the measure takes; one where labor is counted as it is measured."""
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
        found = self.heads[kind].get(code)
        if found is None and (kind, code) not in self.files.unfit:
            self._fault(where, f"there is no “{code}” among the {kind}.")
        return found

    def _read(self, where: str, read_text: Callable[..., Any], *args: Any) -> Any:
        try:
            return read_text(*args)
        except (ValueError, UnknownFormula) as error:
            self._fault(where, str(error))
            return None

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

    def _check_loops(self) -> None:
        of_assemblies = [parts for (kind, _), parts in self.parts.items() if kind == "assemblies"]
        nested = [(each.assembly, each.part) for parts in of_assemblies for each in parts["components"]]
        ordered = [(each.assembly, each.earlier) for parts in of_assemblies for each in parts["after"]]
        where = {entry.code: entry.where for entry in self.entries["assemblies"]}
        for loop in loops(nested, ordered):
            self._fault(where[loop.code], loop.sentence)

    def _fault(self, where: str, sentence: str) -> None:
        self.faults.append(f"{where}: {sentence}")


def _joint(typed: str) -> int:
    return parse_length(typed, bare="in", allow_zero=True)


def unit_of(row: models.Model) -> str:
    """The unit that a rate counts this in: a material's or an operation's own, an assembly's measure's."""
    if isinstance(row, Assembly):
        return MEASURES[row.measure].unit if row.measure in MEASURES else ""
    return row.unit


def _worked_out(formula: str, inputs: Mapping[str, str], of: str, per: str) -> Rate:
    """The rate of a formula in `of` units for one `per` unit."""
    rate = rate_from(formula, inputs)
    known = FORMULAS[formula]
    factor = convert(Fraction(1), known.of, of) / convert(Fraction(1), known.per, per)
    return Rate(rate.typed, rate.per_unit * factor)
