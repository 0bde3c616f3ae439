"""Rows for tests: each `make_` fills in what a test doesn't care about."""

from datetime import date
from decimal import Decimal
from itertools import count
from typing import Any

from catalog.measures.lengths import parse_length
from catalog.measures.rates import parse_rate
from catalog.measures.room_measures import MEASURES
from catalog.models import Assembly, Component, Firm, Material, Operation, Package
from estimating.models import Client, Estimate, Job, Opening, Room, WorkItem, WorkRoom

TODAY = date(2026, 11, 24)
_number = count(1)


def make_client(**values: Any) -> Client:
    values.setdefault("name", "Marisol Okonjo")
    return Client.objects.create(**values)


def make_job(**values: Any) -> Job:
    if "client" not in values:
        values["client"] = make_client()
    values.setdefault("name", "Kitchen")
    values.setdefault("address", "418 Larkspur Lane")
    values.setdefault("year_built", 1986)
    values.setdefault("tax_policy", "none")
    values.setdefault("requested_on", TODAY)
    return Job.objects.create(**values)


def make_room(job: Job, length: str = "10'", width: str = "12'", **values: Any) -> Room:
    length_nm, width_nm = parse_length(length), parse_length(width)
    values.setdefault("name", "Kitchen")
    values.setdefault("height_nm", parse_length("8'"))
    return Room.objects.create(
        job=job,
        entry={"length": length, "width": width},
        legs=[[length_nm, "90"], [width_nm, "90"]] * 2,
        **values,
    )


def make_opening(room: Room, kind: str = "door", wall: int = 0, **values: Any) -> Opening:
    values.setdefault("width_nm", parse_length("36", bare="in"))
    values.setdefault("height_nm", parse_length("80", bare="in"))
    return Opening.objects.create(room=room, kind=kind, wall=wall, **values)


def make_material(name: str = "", unit: str = "gal", size: str = "1", price: str = "40.00") -> Material:
    name = name or f"material {next(_number)}"
    material = Material.objects.create(code=name.replace(" ", "-"), name=name, unit=unit)
    Package.objects.create(
        material=material, name=f"{size} {unit}", size=Decimal(size), price=Decimal(price), priced_on=TODAY
    )
    return material


def make_operation(name: str = "", rate: str = "1 hour per 100 sq ft", unit: str = "sq ft") -> Operation:
    name = name or f"operation {next(_number)}"
    return Operation.objects.create(
        code=name.replace(" ", "-"),
        name=name,
        unit=unit,
        rate_typed=rate,
        hours_per_unit=parse_rate(rate, "hour", unit).per_unit,
        source="common practice",
    )


def make_assembly(name: str = "", measure: str = "floor", **values: Any) -> Assembly:
    name = name or f"assembly {next(_number)}"
    values.setdefault("phase", "finish")
    return Assembly.objects.create(code=name.replace(" ", "-"), name=name, measure=measure, **values)


def add_component(
    assembly: Assembly, use: Material | Operation | Assembly, rate: str = "", **values: Any
) -> Component:
    kind = {Material: "material", Operation: "operation", Assembly: "part"}[type(use)]
    if rate:
        measure = MEASURES[values.get("scales_with") or assembly.measure]
        values |= {"rate_typed": rate, "rate": parse_rate(rate, use.unit, measure.unit).per_unit}
    values.setdefault("position", assembly.components.count())
    return Component.objects.create(assembly=assembly, **{kind: use}, **values)


def make_painting() -> Assembly:
    """A painted floor: 1 gal for 60 sq ft, an hour for 100 sq ft."""
    assembly = make_assembly("floor paint")
    add_component(assembly, make_material("paint"), "60 sq ft per gal")
    add_component(assembly, make_operation("roll paint"))
    return assembly


def make_firm(**values: Any) -> Firm:
    firm = Firm.current()
    values = {
        "name": "Tolliver Room & Tile",
        "address": "27 Quarry Road\nFennimore Falls",
        "labor_rate": Decimal("70.00"),
    } | values
    for name, value in values.items():
        setattr(firm, name, value)
    firm.save()
    return firm


def make_estimate(job: Job, firm: Firm | None = None) -> Estimate:
    return Estimate.begin(job, firm or make_firm(), TODAY)


def put_on(estimate: Estimate, assembly: Assembly, *rooms: Room, **values: Any) -> WorkItem:
    item = WorkItem.objects.create(
        estimate=estimate,
        assembly=assembly,
        title=values.pop("title", assembly.name),
        phase=assembly.phase,
        position=estimate.items.count(),
        **values,
    )
    WorkRoom.objects.bulk_create(WorkRoom(item=item, room=room) for room in rooms)
    return item
