"""The starting catalog put beside what the firm has: what is missing goes in, what was shipped follows a
newer catalog, what the firm changed stays."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal
from fractions import Fraction
from typing import Any

from django.db import models

from catalog.measures.lengths import half_up
from catalog.measures.units import UnfitUnits, convert
from catalog.models import Assembly, Component, Material, Operation, Package, Precedence, Supplier
from catalog.starter.cycles import loops
from catalog.starter.files import KINDS, UnfitCatalog
from catalog.starter.rows import MODELS, StarterRows, unit_of
from catalog.starter.shipped import FACTS, PARTS, POINTS_TO, Values, identity, is_own, label_of, values_of

_READ_WITH: Mapping[str, tuple[str, ...]] = {
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
    "bundles": ("lines__assembly",),
}
# Columns that hold in hours what another one says in words.
_READ_FROM = {
    "rate_typed": "hours_per_unit",
    "low_typed": "low_hours_per_unit",
    "high_typed": "high_hours_per_unit",
}
_USED_AS = {Material: "material", Operation: "operation", Assembly: "part"}
_KIND_OF = {model: kind for kind, model in MODELS.items()}


@dataclass(frozen=True)
class LoadReport:
    """What a load did, by kind ("materials"): names put in; names brought up to date, and names left as the
    firm has them, both with the values concerned in brackets ("Wall paint (caution)")."""

    created: Mapping[str, tuple[str, ...]]
    updated: Mapping[str, tuple[str, ...]]
    left: Mapping[str, tuple[str, ...]]

    def in_words(self) -> list[str]:
        """For each kind a line such as "Materials: 41 put in, 1 brought up to date, 2 left as you have
        them.", and below it the names of those that were there before."""
        lines = []
        for kind in KINDS:
            lines.append(
                f"{kind.capitalize()}: {len(self.created[kind])} put in, "
                f"{len(self.updated[kind])} brought up to date, {len(self.left[kind])} left as you have them."
            )
            for title, names in (("Brought up to date", self.updated), ("Left as you have them", self.left)):
                lines += [f"  {title}: {'; '.join(names[kind])}."] if names[kind] else []
        return lines


Noted = dict[str, dict[str, list[str]]]


def _nothing_noted() -> Noted:
    return {kind: {} for kind in KINDS}


@dataclass
class StarterMerge:
    """One load, for use inside a transaction: `run` works out what to do and does it."""

    rows: StarterRows
    have: dict[str, dict[str, Any]] = field(default_factory=dict)
    updated: Noted = field(default_factory=_nothing_noted)
    left: Noted = field(default_factory=_nothing_noted)
    to_make: dict[type[models.Model], list[Any]] = field(default_factory=lambda: defaultdict(list))
    to_save: dict[type[models.Model], list[Any]] = field(default_factory=lambda: defaultdict(list))
    to_clear: list[tuple[models.Model, str]] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)

    def run(self) -> LoadReport:
        """Raises UnfitCatalog where what the firm has stands against it; the transaction must then end."""
        for kind, model in MODELS.items():
            self.have[kind] = {row.code: row for row in model.objects.prefetch_related(*_READ_WITH[kind])}
        for kind in KINDS:
            for code, fresh in self.rows.heads[kind].items():
                own = self.have[kind].get(code)
                if own is None:
                    self._put_in(kind, fresh)
                elif own.shipped is None:
                    self.left[kind][own.name] = []
                else:
                    self._bring_up(kind, fresh, own)
        self._check_names()
        self._raise_faults()
        self._write()
        self._check_loops()
        self._raise_faults()
        return self._report()

    def _put_in(self, kind: str, fresh: models.Model) -> None:
        parts = self.rows.parts[kind, fresh.code]
        fresh.shipped = values_of(fresh, parts)
        self.to_make[type(fresh)].append(fresh)
        if isinstance(fresh, Assembly) and fresh.board is not None:
            fresh.board = self._target(fresh.board)
        for rows in parts.values():
            self._make_parts(fresh, rows)

    def _bring_up(self, kind: str, fresh: models.Model, own: models.Model) -> None:
        parts, before = self.rows.parts[kind, fresh.code], own.shipped
        if self._counted_otherwise(kind, fresh, before):
            return
        followed, kept = self._follow(own, fresh, values_of(fresh, parts))
        for fact in followed:
            for key in set(fact) & parts.keys():
                self.to_clear.append((own, key))
                self._make_parts(own, parts[key])
        self._note(kind, own, followed, kept)
        if isinstance(own, Material) and own.unit == fresh.unit:
            self._bring_up_packages(own, parts["packages"], before["packages"])

    def _follow(
        self, own: models.Model, fresh: models.Model, new: Values
    ) -> tuple[list[tuple[str, ...]], list[tuple[str, ...]]]:
        """Give a shipped row the newer columns of each fact that the firm didn't change. The facts that
        followed, and those that differ and stay."""
        model, current = type(own), values_of(own)
        differing = [fact for fact in FACTS[model] if any(current[key] != new[key] for key in fact)]
        kept = [fact for fact in differing if any(is_own(key, own, current) for key in fact)]
        followed = [fact for fact in differing if fact not in kept]
        for key in (key for fact in followed for key in fact if key not in PARTS[model]):
            value = getattr(fresh, key)
            setattr(own, key, self._target(value) if isinstance(value, Material) else value)
            if key in _READ_FROM:
                setattr(own, _READ_FROM[key], getattr(fresh, _READ_FROM[key]))
        if new != own.shipped:
            own.shipped = new
            self.to_save[model].append(own)
        return followed, kept

    def _counted_otherwise(self, kind: str, fresh: models.Model, before: Values) -> bool:
        """What is counted in another unit isn't the same thing: all that the firm made of it would be
        wrong by the ratio of the units."""
        if kind == "bundles":
            return False
        was = unit_of(Assembly(measure=before["measure"])) if kind == "assemblies" else before["unit"]
        if was == unit_of(fresh):
            return False
        self._fault(
            fresh,
            f"it was counted in {was} when it was shipped before and is counted in {unit_of(fresh)} now: "
            "give it a code of its own.",
        )
        return True

    def _bring_up_packages(self, own: Material, packages: list[Package], before: list[list[str]]) -> None:
        """New packages go in and shipped ones follow; one that the firm took out stays out."""
        here = {tuple(identity(each)): each for each in own.packages.all()}
        for fresh in packages:
            found = here.get(tuple(identity(fresh)))
            if found is not None and found.shipped is not None:
                followed, kept = self._follow(found, fresh, values_of(fresh))
                self._note("materials", own, followed, kept, found)
            elif found is None and identity(fresh) not in before:
                self._make_parts(own, [fresh])
                self.updated["materials"].setdefault(own.name, []).append(fresh.name)
            else:
                self.left["materials"].setdefault(own.name, []).append(fresh.name)

    def _make_parts(self, owner: models.Model, rows: Iterable[Any]) -> None:
        """Parts as shipped, that belong to their owner and point to what the firm has."""
        for row in rows:
            if isinstance(row, Package):
                row.material, row.shipped = owner, values_of(row)
            elif isinstance(row, Component):
                row.assembly = owner
                self._use_own(row)
            else:
                setattr(row, "bundle" if hasattr(row, "bundle_id") else "assembly", owner)
                name = POINTS_TO[type(row)]
                setattr(row, name, self._target(getattr(row, name)))
            self.to_make[type(row)].append(row)

    def _use_own(self, component: Component) -> None:
        """Have a component use what the firm has, its rate in the unit that the firm counts it in."""
        fresh = component.uses
        own = self._target(fresh)
        setattr(component, _USED_AS[type(fresh)], own)
        if unit_of(own) == unit_of(fresh):
            return
        try:
            factor = convert(Fraction(1), unit_of(fresh), unit_of(own))
        except UnfitUnits as unfit:
            self._fault(component.assembly, f"you count {own.name} otherwise: {unfit}")
            return
        component.rate *= factor
        component.set_up = Decimal(half_up(Fraction(component.set_up) * factor * 1000)).scaleb(-3)

    def _check_names(self) -> None:
        """A shipped row can't take the name of a row that the firm has under another code."""
        for kind, have in self.have.items():
            codes: dict[str, set[str]] = defaultdict(set)
            for row in have.values():
                codes[row.name].add(row.code)
            for fresh in self.rows.heads[kind].values():
                name = self._target(fresh).name
                for code in sorted(codes[name] - {fresh.code}):
                    self._fault(fresh, f"you have “{name}” already, as {code}: rename that one first.")

    def _check_loops(self) -> None:
        """With what the firm made of it, the catalog may close a loop that neither has alone."""
        nested = Component.objects.filter(part__isnull=False).select_related("assembly", "part")
        ordered = Precedence.objects.select_related("assembly", "earlier")
        found = loops(
            [(each.assembly, each.part) for each in nested],
            [(each.assembly, each.earlier) for each in ordered],
        )
        self.faults += [f"with what you have: {loop.code}: {loop.sentence}" for loop in found]

    def _write(self) -> None:
        suppliers = {row.name: row for row in Supplier.objects.all()}
        for package in self.to_make[Package]:
            if package.supplier.name not in suppliers:
                package.supplier.save()
            package.supplier = suppliers.setdefault(package.supplier.name, package.supplier)
        for owner, key in self.to_clear:
            getattr(owner, PARTS[type(owner)][key]).all().delete()
        for model in (*_KIND_OF, *(each for each in list(self.to_make) if each not in _KIND_OF)):
            for row in self.to_save[model]:
                row.save()
            model.objects.bulk_create(self.to_make[model])
        for package in self.to_save[Package]:
            package.save()

    def _note(
        self, kind: str, own: models.Model, followed: Any, kept: Any, package: Package | None = None
    ) -> None:
        """Keep the labels of the facts that followed and of those that stay, under the row's name."""
        for facts, noted in ((followed, self.updated), (kept, self.left)):
            labels = [label_of(type(package or own), fact[0]) for fact in facts]
            if package is not None:
                labels = [f"{label} of {package.name}" for label in labels]
            if labels:
                noted[kind].setdefault(own.name, []).extend(labels)

    def _report(self) -> LoadReport:
        def named(noted: Noted) -> dict[str, tuple[str, ...]]:
            return {
                kind: tuple(
                    f"{name} ({', '.join(labels)})" if labels else name for name, labels in rows.items()
                )
                for kind, rows in noted.items()
            }

        created = {kind: tuple(row.name for row in self.to_make[model]) for kind, model in MODELS.items()}
        return LoadReport(created, named(self.updated), named(self.left))

    def _target(self, fresh: models.Model) -> Any:
        """What the firm has under the code of a shipped row, or that row."""
        return self.have[_KIND_OF[type(fresh)]].get(fresh.code, fresh)

    def _fault(self, fresh: models.Model, sentence: str) -> None:
        where = next(
            entry.where for entry in self.rows.entries[_KIND_OF[type(fresh)]] if entry.code == fresh.code
        )
        self.faults.append(f"{where}: {sentence}")

    def _raise_faults(self) -> None:
        if self.faults:
            raise UnfitCatalog(self.faults)
