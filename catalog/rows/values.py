"""The catalog as the plain values that the pure rules work on, read in five queries."""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from operator import itemgetter
from typing import Any

from catalog.assemblies.packaging import Offer
from catalog.assemblies.specs import (
    AssemblySpec,
    ComponentSpec,
    MaterialSpec,
    NestedInItself,
    OperationSpec,
    SheetSize,
)
from catalog.measures.rates import Rate
from catalog.measures.room_measures import DeductRule
from catalog.models import Assembly, Component, Firm, Material, Operation, Package
from reading.prepared import made_of

_Columns = dict[str, Any]  # of one row, by name


class CatalogReader:
    """All materials, operations and assemblies by primary key; `pk_of` maps codes of assemblies to theirs.

    `catalog` is the same object as long as no row of it has changed.
    """

    def __init__(self, firm: Firm) -> None:
        """Read the whole catalog: five queries, whatever its size."""
        self.firm = firm
        self.catalog = _read_catalog()
        self.materials, self.operations = self.catalog.materials, self.catalog.operations
        self.pk_of = self.catalog.pk_of
        self._rows = self.catalog.assemblies
        self._built = self.catalog.built[Fraction(firm.openings_above_sqft)]

    def assembly(self, pk: int) -> AssemblySpec:
        """Return an assembly with all that is nested in it. Raises NestedInItself on a cycle."""
        return self._build(pk, ())

    def assembly_by_code(self, code: str) -> AssemblySpec:
        """Return the assembly with this code. Raises KeyError where there is none."""
        return self.assembly(self.pk_of[code])

    def _build(self, pk: int, inside: tuple[int, ...]) -> AssemblySpec:
        if pk in inside:
            raise NestedInItself(tuple(self._rows[nested]["name"] for nested in (*inside, pk)))
        if pk not in self._built:
            row = self._rows[pk]
            self._built[pk] = AssemblySpec(
                code=row["code"],
                name=row["name"],
                phase=row["phase"],
                measure=row["measure"],
                plan_measure=row["plan_measure"],
                components=tuple(
                    self._component(component, (*inside, pk))
                    for component in self.catalog.components.get(pk, ())
                ),
                scope=row["scope"],
                caution=row["caution"],
                deduct_material=self._deduct(row["deduct_material"]),
                deduct_labor=self._deduct(row["deduct_labor"]),
                board=self.materials[row["board_id"]] if row["board_id"] else None,
                tile_joint_nm=row["tile_joint_nm"],
                tile_offset=Fraction(row["tile_offset"]) if row["tile_offset"] else None,
                tile_pattern=row["tile_pattern"],
                tile_spare=Fraction(row["tile_spare_percent"]) / 100,
                tile_offcuts=row["tile_offcuts"],
                after=self._earlier(row),
            )
        return self._built[pk]

    def _earlier(self, row: _Columns) -> tuple[str, ...]:
        """Return the codes of what is done before an assembly, and of other ways to the same end."""
        codes = dict.fromkeys(self.catalog.after.get(row["pk"], ()))
        for code in tuple(codes):
            codes |= dict.fromkeys(self.catalog.by_purpose.get(self._rows[self.pk_of[code]]["purpose"], ()))
        codes.pop(row["code"], None)
        return tuple(codes)

    def _component(self, row: _Columns, inside: tuple[int, ...]) -> ComponentSpec:
        if row["material_id"]:
            use: MaterialSpec | OperationSpec | AssemblySpec = self.materials[row["material_id"]]
        elif row["operation_id"]:
            use = self.operations[row["operation_id"]]
        else:
            use = self._build(row["part_id"], inside)
        return ComponentSpec(
            key=str(row["pk"]),
            use=use,
            rate=Rate(row["rate_typed"], row["rate"]),
            scales_with=row["scales_with"],
            times=row["times"],
            waste=Fraction(row["waste_percent"]) / 100,
            set_up=Fraction(row["set_up"]),
            set_up_per=row["set_up_per"],
            source=row["source"],
            fills_joints=not row["scales_with"]
            and (row["formula"] == "grout" or (isinstance(use, OperationSpec) and use.unit == "ft")),
        )

    def _deduct(self, rule: str) -> DeductRule | None:
        """Return an assembly's own rule for openings; None where it follows the firm's."""
        if rule == Assembly.Deduct.FIRM:
            return None
        return DeductRule(rule, Fraction(self.firm.openings_above_sqft))


_ASSEMBLY_FIELDS = (
    "pk",
    "code",
    "name",
    "phase",
    "purpose",
    "measure",
    "plan_measure",
    "scope",
    "caution",
    "deduct_material",
    "deduct_labor",
    "board_id",
    "tile_joint_nm",
    "tile_offset",
    "tile_pattern",
    "tile_spare_percent",
    "tile_offcuts",
    "waits_for__earlier__code",  # a row for each
)
_COMPONENT_FIELDS = (
    "pk",
    "assembly_id",
    "material_id",
    "operation_id",
    "part_id",
    "scales_with",
    "rate_typed",
    "rate",
    "times",
    "waste_percent",
    "set_up",
    "set_up_per",
    "source",
    "formula",
    "position",
)


_MATERIAL_FIELDS = (
    "pk",
    "code",
    "name",
    "unit",
    "kind",
    "taxable",
    "caution",
    "sheet_length_nm",
    "sheet_width_nm",
    "thickness_nm",
    "sold_in_sticks",
    "stick_width_nm",
    "keeps_days",
)
_OPERATION_FIELDS = (
    "pk",
    "code",
    "name",
    "unit",
    "rate_typed",
    "hours_per_unit",
    "set_up_hours",
    "wait_hours",
    "source",
    "low_hours_per_unit",
    "high_hours_per_unit",
    "surface",
    "over_days",
)


@dataclass(frozen=True, eq=False)
class _Catalog:
    """The catalog as it was last read.

    `assemblies` and `components` are rows, `after` the codes of what is done before an assembly, `by_purpose`
    those of one purpose. `built` are specs that were asked for, by the least opening that the firm deducts.
    """

    materials: Mapping[int, MaterialSpec]
    operations: Mapping[int, OperationSpec]
    assemblies: Mapping[int, _Columns]
    components: Mapping[int, Sequence[_Columns]]
    after: Mapping[int, Sequence[str]]
    by_purpose: Mapping[str, Sequence[str]]
    pk_of: Mapping[str, int]
    built: dict[Fraction, dict[int, AssemblySpec]] = field(default_factory=lambda: defaultdict(dict))


# Plain rows: of nearly a thousand, building objects of the models would take longer than all else here.
@made_of(
    lambda: Package.objects.offered().order_by("pk").values_list("pk", "material_id", "size", "price"),
    lambda: Material.objects.values(*_MATERIAL_FIELDS),
    lambda: Operation.objects.values(*_OPERATION_FIELDS),
    lambda: Assembly.objects.order_by("name", "waits_for__pk").values(*_ASSEMBLY_FIELDS),
    lambda: Component.objects.order_by().values(*_COMPONENT_FIELDS),
)
def _read_catalog(
    packages: list[Any],
    materials: list[_Columns],
    operations: list[_Columns],
    assemblies: list[_Columns],
    components: list[_Columns],
) -> _Catalog:
    rows: dict[int, _Columns] = {}
    after: dict[int, list[str]] = defaultdict(list)
    for row in assemblies:
        rows[row["pk"]] = row
        if row["waits_for__earlier__code"]:
            after[row["pk"]].append(row["waits_for__earlier__code"])
    by_purpose: dict[str, list[str]] = defaultdict(list)
    for row in rows.values():
        if row["purpose"]:
            by_purpose[row["purpose"]].append(row["code"])
    of_assembly: dict[int, list[_Columns]] = defaultdict(list)
    for row in sorted(components, key=itemgetter("position", "pk")):  # here, where it isn't done each time
        of_assembly[row["assembly_id"]].append(row)
    return _Catalog(
        materials=_materials(packages, materials),
        operations=_operations(operations),
        assemblies=rows,
        components=of_assembly,
        after=after,
        by_purpose=by_purpose,
        pk_of={row["code"]: pk for pk, row in rows.items()},
    )


def _materials(packages: Iterable[Any], materials: Iterable[_Columns]) -> dict[int, MaterialSpec]:
    offers: dict[int, list[Offer]] = defaultdict(list)
    for pk, material, size, price in packages:
        offers[material].append(Offer(str(pk), Fraction(size), price))
    return {
        row["pk"]: MaterialSpec(
            code=row["code"],
            name=row["name"],
            unit=row["unit"],
            kind=row["kind"],
            taxable=row["taxable"],
            caution=row["caution"],
            offers=tuple(offers[row["pk"]]),
            sheet=_sheet(row),
            stick=row["sold_in_sticks"],
            stick_width_nm=row["stick_width_nm"],
            keeps_days=row["keeps_days"],
        )
        for row in materials
    }


def _sheet(row: _Columns) -> SheetSize | None:
    if not row["sheet_length_nm"] or not row["sheet_width_nm"]:
        return None
    return SheetSize(row["sheet_length_nm"], row["sheet_width_nm"], row["thickness_nm"] or 0)


def _operations(rows: Iterable[_Columns]) -> dict[int, OperationSpec]:
    return {
        row["pk"]: OperationSpec(
            code=row["code"],
            name=row["name"],
            unit=row["unit"],
            rate=Rate(row["rate_typed"], row["hours_per_unit"]),
            set_up_hours=Fraction(row["set_up_hours"]),
            wait_hours=Fraction(row["wait_hours"]),
            source=row["source"],
            low=row["low_hours_per_unit"],
            high=row["high_hours_per_unit"],
            surface=row["surface"],
            over_days=row["over_days"],
        )
        for row in rows
    }
