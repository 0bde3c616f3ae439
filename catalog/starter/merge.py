"""The starting catalog merged with what the firm has.

What is missing is added, what was shipped before follows a newer catalog, and what the firm changed stays.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import TypeVar

from django.db import models

from catalog.measures.lengths import half_up
from catalog.measures.room_measures import MEASURES
from catalog.measures.units import UnfitUnits, convert
from catalog.models import (
    HOURS_COLUMNS,
    Assembly,
    CodedRow,
    Component,
    Kit,
    KitLine,
    Material,
    Operation,
    Package,
    ShippedRow,
    Supplier,
)
from catalog.starter.cycles import stored_loops
from catalog.starter.files import KINDS, UnfitCatalog
from catalog.starter.rows import MODELS, StarterRows
from catalog.starter.shipped import (
    FIELD_GROUPS,
    PARTS,
    POINTS_TO,
    Part,
    Values,
    identity,
    is_own,
    label_of,
    shipped_values,
    values_of,
)

_PREFETCHED: Mapping[str, tuple[str, ...]] = {
    "materials": ("packages__supplier",),
    "operations": (),
    "assemblies": (
        "board",
        "components__material",
        "components__operation",
        "components__part",
        "goes_with__companion",
        "waits_for__earlier",
    ),
    "kits": ("lines__assembly",),
}
_KIND_OF: Mapping[type[models.Model], str] = {model: kind for kind, model in MODELS.items()}

FieldGroup = tuple[str, ...]
LabelsByName = dict[str, dict[str, list[str]]]  # labels of values, by kind and name of the row
Coded = TypeVar("Coded", Material, Operation, Assembly, Kit)


@dataclass(frozen=True)
class LoadReport:
    """What a load did, by kind ("materials").

    `created` has the names of rows added, `updated` of those brought up to date and `left` of those left as
    the firm has them, the last two with the values concerned in brackets ("Wall paint (caution)").
    """

    created: Mapping[str, tuple[str, ...]]
    updated: Mapping[str, tuple[str, ...]]
    left: Mapping[str, tuple[str, ...]]

    def in_words(self) -> list[str]:
        """Return a line for each kind, followed by lines with the names of rows that were there before.

        Such as "Materials: 41 put in, 1 brought up to date, 2 left as you have them."
        """
        lines = []
        for kind in KINDS:
            lines.append(
                f"{kind.capitalize()}: {len(self.created[kind])} put in, "
                f"{len(self.updated[kind])} brought up to date, {len(self.left[kind])} left as you have them."
            )
            for title, names in (("Brought up to date", self.updated), ("Left as you have them", self.left)):
                lines += [f"  {title}: {'; '.join(names[kind])}."] if names[kind] else []
        return lines


def _no_labels() -> LabelsByName:
    return {kind: {} for kind in KINDS}


@dataclass
class StarterMerge:
    """One load, for use inside a transaction: `run` works out what to write and writes it."""

    rows: StarterRows
    stored: dict[str, dict[str, CodedRow]] = field(default_factory=dict)  # by kind and code
    updated: LabelsByName = field(default_factory=_no_labels)
    left: LabelsByName = field(default_factory=_no_labels)
    to_create: dict[type[models.Model], list[models.Model]] = field(default_factory=lambda: defaultdict(list))
    to_save: dict[type[models.Model], list[models.Model]] = field(default_factory=lambda: defaultdict(list))
    to_clear: list[tuple[CodedRow, str]] = field(default_factory=list)  # rows, and the parts they lose
    faults: list[str] = field(default_factory=list)

    def run(self) -> LoadReport:
        """Write what is new and return what was done.

        Raises UnfitCatalog where it can't be merged with what the firm has; the transaction must then be
        rolled back.
        """
        for kind, model in MODELS.items():
            stored = model.objects.prefetch_related(*_PREFETCHED[kind])
            self.stored[kind] = {row.code: row for row in stored}
        for kind, fresh_rows in self.rows.by_kind().items():
            for code, fresh in fresh_rows.items():
                own = self.stored[kind].get(code)
                if own is None:
                    self._add(fresh)
                elif own.shipped is None:
                    self.left[kind][own.name] = []
                else:
                    self._update(kind, fresh, own)
        self._check_names()
        self._raise_faults()
        self._write()
        self.faults += [f"with what you have: {loop.code}: {loop.sentence}" for loop in stored_loops()]
        self._raise_faults()
        return self._report()

    def _add(self, fresh: CodedRow) -> None:
        """Plan to create a row that the firm doesn't have, with its parts."""
        parts = self.rows.parts_of(fresh)
        fresh.shipped = values_of(fresh, parts)
        self.to_create[type(fresh)].append(fresh)
        if isinstance(fresh, Assembly) and fresh.board is not None:
            fresh.board = self._own(fresh.board)
        for of_key in parts.values():
            self._add_parts(fresh, of_key)

    def _update(self, kind: str, fresh: CodedRow, own: CodedRow) -> None:
        """Plan to bring a shipped row and its parts up to date."""
        parts, before = self.rows.parts_of(fresh), shipped_values(own)
        if self._is_counted_otherwise(fresh, before):
            return
        followed, kept = self._update_columns(own, fresh, values_of(fresh, parts))
        for group in followed:
            for key in set(group) & parts.keys():
                self.to_clear.append((own, key))
                self._add_parts(own, parts[key])
        self._note(kind, own.name, type(own), followed, kept)
        if isinstance(own, Material) and isinstance(fresh, Material) and own.unit == fresh.unit:
            self._update_packages(own, self.rows.packages[fresh.code], before["packages"])

    def _update_columns(
        self, own: ShippedRow, fresh: ShippedRow, new: Values
    ) -> tuple[list[FieldGroup], list[FieldGroup]]:
        """Give a shipped row the newer columns of each group that the firm didn't change.

        Returns the groups that followed, and those that differ and stay as the firm has them.
        """
        model, current = type(own), values_of(own)
        differing = [group for group in FIELD_GROUPS[model] if any(current[key] != new[key] for key in group)]
        kept = [group for group in differing if any(is_own(key, own, current) for key in group)]
        followed = [group for group in differing if group not in kept]
        for key in (key for group in followed for key in group if key not in PARTS[model]):
            value = getattr(fresh, key)
            setattr(own, key, self._own(value) if isinstance(value, Material) else value)
            if key in HOURS_COLUMNS:
                setattr(own, HOURS_COLUMNS[key], getattr(fresh, HOURS_COLUMNS[key]))
        if new != own.shipped:
            own.shipped = new
            self.to_save[model].append(own)
        return followed, kept

    def _is_counted_otherwise(self, fresh: CodedRow, before: Values) -> bool:
        """Tell whether a row is counted in another unit than before, and note that as a fault.

        It isn't the same thing then: all that the firm made of it would be wrong by the ratio of the units.
        """
        if isinstance(fresh, Kit):
            return False
        if isinstance(fresh, Assembly):
            measure = MEASURES.get(before["measure"])
            was = measure.unit if measure else ""
        else:
            was = before["unit"]
        if was == fresh.unit:
            return False
        self._fault(
            fresh,
            f"it was counted in {was} when it was supplied before and is counted in {fresh.unit} now: "
            "give it a code of its own.",
        )
        return True

    def _update_packages(self, own: Material, packages: Sequence[Package], before: list[list[str]]) -> None:
        """Plan to add new packages and update shipped ones; one that the firm deleted isn't added again."""
        stored = {tuple(identity(package)): package for package in own.packages.all()}
        for fresh in packages:
            package = stored.get(tuple(identity(fresh)))
            if package is not None and package.shipped is not None:
                followed, kept = self._update_columns(package, fresh, values_of(fresh))
                self._note("materials", own.name, Package, followed, kept, f" of {package.name}")
            elif package is None and identity(fresh) not in before:
                self._add_parts(own, [fresh])
                self.updated["materials"].setdefault(own.name, []).append(fresh.name)
            else:
                self.left["materials"].setdefault(own.name, []).append(fresh.name)

    def _add_parts(self, owner: CodedRow, parts: Iterable[Part]) -> None:
        """Plan to create parts as shipped, which belong to their owner and point to what the firm has."""
        for part in parts:
            if isinstance(part, Package) and isinstance(owner, Material):
                part.material, part.shipped = owner, values_of(part)
            elif isinstance(part, Component) and isinstance(owner, Assembly):
                part.assembly = owner
                self._use_own(part)
            else:
                setattr(part, "kit" if isinstance(part, KitLine) else "assembly", owner)
                column = POINTS_TO[type(part)]
                setattr(part, column, self._own(getattr(part, column)))
            self.to_create[type(part)].append(part)

    def _use_own(self, component: Component) -> None:
        """Have a component use what the firm has, its rate in the unit that the firm counts it in."""
        fresh = component.uses
        own: Material | Operation | Assembly
        match fresh:
            case Material():
                own = component.material = self._own(fresh)
            case Operation():
                own = component.operation = self._own(fresh)
            case Assembly():
                own = component.part = self._own(fresh)
        if own.unit == fresh.unit:
            return
        try:
            factor = convert(Fraction(1), fresh.unit, own.unit)
        except UnfitUnits as unfit:
            self._fault(component.assembly, f"you count {own.name} otherwise: {unfit}")
            return
        component.rate *= factor
        component.set_up = Decimal(half_up(Fraction(component.set_up) * factor * 1000)).scaleb(-3)

    def _check_names(self) -> None:
        """Note a fault for each shipped row with a name that the firm has under another code."""
        for kind, stored in self.stored.items():
            codes: dict[str, set[str]] = defaultdict(set)
            for row in stored.values():
                codes[row.name].add(row.code)
            for fresh in self.rows.by_kind()[kind].values():
                name = stored.get(fresh.code, fresh).name
                for code in sorted(codes[name] - {fresh.code}):
                    self._fault(fresh, f"you have “{name}” already, as {code}: rename that one first.")

    def _write(self) -> None:
        suppliers = {row.name: row for row in Supplier.objects.all()}
        for package in self.to_create[Package]:
            assert isinstance(package, Package)
            assert package.supplier is not None  # the files must name one
            if package.supplier.name not in suppliers:
                package.supplier.save()
            package.supplier = suppliers.setdefault(package.supplier.name, package.supplier)
        for owner, key in self.to_clear:
            getattr(owner, PARTS[type(owner)][key]).all().delete()
        for model in (*_KIND_OF, *(model for model in list(self.to_create) if model not in _KIND_OF)):
            for row in self.to_save[model]:
                row.save()
            model._default_manager.bulk_create(self.to_create[model])
        for row in self.to_save[Package]:
            row.save()

    def _note(
        self,
        kind: str,
        name: str,
        model: type[ShippedRow],
        followed: Iterable[FieldGroup],
        kept: Iterable[FieldGroup],
        suffix: str = "",
    ) -> None:
        """Note the labels of the groups that followed and of those that stay, under the row's name."""
        for groups, noted in ((followed, self.updated), (kept, self.left)):
            if labels := [f"{label_of(model, group[0])}{suffix}" for group in groups]:
                noted[kind].setdefault(name, []).extend(labels)

    def _report(self) -> LoadReport:
        created: dict[str, list[str]] = {kind: [] for kind in KINDS}
        for kind, fresh_rows in self.rows.by_kind().items():
            created[kind] = [row.name for code, row in fresh_rows.items() if code not in self.stored[kind]]
        return LoadReport(
            {kind: tuple(names) for kind, names in created.items()},
            _with_labels(self.updated),
            _with_labels(self.left),
        )

    def _own(self, fresh: Coded) -> Coded:
        """Return what the firm has under the code of a shipped row, or that row where it has none."""
        own = self.stored[_KIND_OF[type(fresh)]].get(fresh.code)
        return own if isinstance(own, type(fresh)) else fresh

    def _fault(self, fresh: CodedRow, sentence: str) -> None:
        entries = self.rows.files.entries[_KIND_OF[type(fresh)]]
        where = next(entry.where for entry in entries if entry.code == fresh.code)
        self.faults.append(f"{where}: {sentence}")

    def _raise_faults(self) -> None:
        if self.faults:
            raise UnfitCatalog(self.faults)


def _with_labels(noted: LabelsByName) -> dict[str, tuple[str, ...]]:
    """Return the names of rows, each with its labels in brackets."""
    return {
        kind: tuple(f"{name} ({', '.join(labels)})" if labels else name for name, labels in rows.items())
        for kind, rows in noted.items()
    }
