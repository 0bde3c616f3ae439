"""A job in one file: what is read, what is refused and where, and that both roads give the same price."""

import json
from decimal import Decimal
from fractions import Fraction
from math import hypot
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings
from pytest_django import DjangoAssertNumQueries

from catalog.measures.lengths import parse_length
from catalog.models import Firm
from catalog.money.markup import Markup
from catalog.rows.values import CatalogReader
from catalog.starter.load import load
from estimating.estimate_file.reading import read
from estimating.estimate_file.rows import EstimateFile
from estimating.estimate_file.schema import UnfitFile
from estimating.estimates.draft import Draft, read_draft
from estimating.estimates.snapshots import read_estimate_snapshot
from estimating.models import Allowance, Client, Estimate, Job, Room
from estimating.rooms.plan import Framing, HeightPoint, Spot
from tests.estimating.estimate_files import FULL, changed
from tests.factories import (
    add_component,
    make_assembly,
    make_firm,
    make_material,
    make_operation,
    make_painting,
)

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"
JOBS = ("kitchen", "kitchen_by_lines", "patch")


@pytest.fixture
def reader(db: None) -> CatalogReader:
    """A floor paint, a wall paint and cabinets counted by hand."""
    firm = make_firm(material_markup=Markup(Decimal(20)), tax_percent=Decimal("6.5"), terms="The firm's.")
    make_painting()
    walls = make_assembly("wall paint", measure="wall_net")
    add_component(walls, make_material("wall color"), "350 sq ft per gal", times=2)
    cabinets = make_assembly("cabinets", measure="each", phase="set")
    add_component(cabinets, make_operation("hang", "2 hours each", "each"))
    return CatalogReader(firm)


def reading(data: Any, reader: CatalogReader) -> EstimateFile:
    return read(json.dumps(data), reader.firm, reader)


def faults(data: Any, reader: CatalogReader) -> list[str]:
    with pytest.raises(UnfitFile) as unfit:
        reading(data, reader)
    return [str(fault) for fault in unfit.value.faults]


def test_a_file_in_the_former_spelling_is_read_as_before(reader: CatalogReader) -> None:
    former = json.dumps(FULL).replace("labor_", "labour_").replace("covers_labor", "covers_labour")
    assert former != json.dumps(FULL)
    file = read(former, reader.firm, reader)
    assert file.draft().policy.labor_rate == Decimal("60.00")
    assert [row.covers_labor for row in file.allowances] == [
        row.covers_labor for row in reading(FULL, reader).allowances
    ]


def test_what_is_typed_arrives_in_the_rules(reader: CatalogReader) -> None:
    draft = reading(FULL, reader).draft()
    assert draft.policy.labor_rate == Decimal("60.00")
    assert draft.policy.labor == Markup(Decimal(10), "margin")
    assert draft.policy.runs == 2
    assert (draft.policy.tax_policy, draft.policy.tax_rate) == ("everything", Fraction(65, 1000))
    paint, walls, dumpster, cabinets = draft.works
    assert walls.conditions == ("occupied", "far")
    assert paint.extra_hours == Fraction(3, 2)
    assert paint.material_cost == Decimal("12.50")
    assert paint.client_supplies == {"paint"}
    assert paint.rooms[1].walls == frozenset({0, 2})
    assert paint.overrides[0].amount == Fraction("200.5")
    assert (dumpster.equipment_cost, dumpster.subcontract_cost) == (Decimal(465), Decimal(20))
    assert cabinets.overrides[0].amount == 18
    assert [allowance.at_cost for allowance in draft.allowances] == [True, False]


def test_rooms_come_out_as_measured(reader: CatalogReader) -> None:
    measured = reading(FULL, reader).draft().take_off.room_measures
    # 12 x 10 ft less an island of 4 ft x 30 in and a column of 12 x 12 in
    assert measured["Kitchen"].amount("floor") == 120 - 10 - 1
    # 44 ft and round the column, less the door and the 10 ft of cabinets
    assert measured["Kitchen"].amount("base") == 44 + 4 - 3 - 10
    assert measured["Hall"].amount("floor") == 80 - 12


def test_what_is_overhead_and_off_the_walls_comes_out_as_measured(reader: CatalogReader) -> None:
    draft = reading(FULL, reader).draft()
    hall, measured = draft.rooms["Hall"], draft.take_off.room_measures["Hall"]
    foot = parse_length("1'")
    assert hall.heights == (HeightPoint(1, 0, parse_length("9' 6\"")),)
    assert [soffit.drop_nm for soffit in hall.soffits] == [parse_length('10"')]
    assert hall.footprints[0].spot == Spot(0, 6 * foot, 3 * foot)
    # along B the ceiling comes down from 9.5 ft to 8 over 8 ft
    fall = 1.5 / 8
    walls = 10 * 9.5 + 8 * 8.75 + 6 * 8 + 3 * (8 + fall * 1.5) + 4 * (8 + fall * 3) + 5 * (9.5 - fall * 2.5)
    # the soffit along F hangs 10 in under its lowest place, in the corner with E: its ends come off A and E,
    # and its front is what it hides of F
    ends = (9.5 - (8 + fall * 3 - 10 / 12)) + 10 / 12
    niche = 2 * 3.5 * (24 + 14) / 144
    assert float(measured.amount("wall_net")) == pytest.approx(walls - ends + niche)
    assert float(measured.amount("ceiling")) == pytest.approx(5 + 63 * hypot(1, fall))
    assert measured.amount("floor") == 68


def test_names_of_openings_and_fixtures_reach_the_plan(reader: CatalogReader) -> None:
    kitchen = reading(FULL, reader).draft().rooms["Kitchen"]
    assert [opening.name for opening in kitchen.openings] == ["Back door", "Window"]
    assert [footprint.name for footprint in kitchen.footprints] == ["Island", "Sink run"]


def test_what_is_left_out_is_the_firms(reader: CatalogReader) -> None:
    data = {**FULL, "pricing": {}}
    del data["terms"]
    data["job"] = {name: value for name, value in FULL["job"].items() if not name.startswith("tax")}
    file = reading(data, reader)
    assert file.estimate.labor_rate.amount == Decimal("70.00")
    assert file.estimate.terms == "The firm's."
    assert file.draft().policy.tax_rate == Fraction(65, 1000)


def test_an_assembly_gives_the_words_that_the_file_leaves_out(reader: CatalogReader) -> None:
    paint, walls, *_ = reading(FULL, reader).draft().works
    assert (paint.title, paint.phase) == ("floor paint", "finish")
    assert walls.title == "Hall walls"


def _figures(draft: Draft) -> tuple[Any, ...]:
    """All that a draft comes to, without the keys that differ between the roads."""
    priced = draft.priced
    lines = [
        (line.title, line.kind, line.hours, line.cost, line.price, line.client_price)
        for line in (*priced.lines, *priced.options)
    ]
    materials = [
        (
            line.material.code,
            line.required,
            line.purchase and line.purchase.counts,
            list(line.by_work.values()),
        )
        for line in draft.take_off.materials
    ]
    required = [
        [requirement.in_words() for requirement in item.requirements] for item in draft.take_off.items
    ]
    return priced.total, priced.tax, priced.trips, lines, materials, required, draft.take_off.problems


def test_a_file_priced_at_once_or_from_its_stored_rows_gives_the_same(reader: CatalogReader) -> None:
    file = reading(FULL, reader)
    at_once = _figures(file.draft())
    stored = Estimate.objects.get(pk=file.save().pk)
    assert _figures(read_draft(stored, reader.firm)) == at_once


@pytest.mark.parametrize("name", JOBS)
def test_the_demo_jobs_come_out_the_same_by_both_roads(name: str, db: None) -> None:
    load()
    firm = Firm.current()
    file = read((FIXTURES / f"{name}.json").read_text("utf-8"), firm, CatalogReader(firm))
    draft = file.draft()
    stored = Estimate.objects.get(pk=file.save().pk)
    assert _figures(read_draft(stored, firm)) == _figures(draft)
    assert draft.take_off.problems == ()


def test_the_paper_of_a_file_is_the_paper_of_its_stored_rows(reader: CatalogReader) -> None:
    file = reading(FULL, reader)
    at_once = file.snapshot(file.draft())
    stored = Estimate.objects.get(pk=file.save().pk)
    assert read_estimate_snapshot(stored, reader.firm, read_draft(stored, reader.firm)) == at_once
    assert at_once["client_brings"] != []


def test_pricing_a_file_asks_the_database_nothing(
    reader: CatalogReader, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    text = json.dumps(FULL)
    with django_assert_num_queries(0):
        read(text, reader.firm, reader).draft()


def test_what_is_stored_can_be_edited_on_the_site(reader: CatalogReader) -> None:
    estimate = reading(FULL, reader).save()
    kitchen, hall, bay = estimate.job.rooms.all()
    assert kitchen.entry["room"]["length"] == "12'"
    assert [opening.name for opening in kitchen.openings.order_by("pk")] == ["Back door", ""]
    assert (hall.shape, bay.shape, bay.balanced) == ("l", "walk", True)
    assert estimate.job.client.email == "okonjo@example.com"
    assert estimate.assumptions == "Heat is on.\nThe floor is sound."
    assert [aside.assembly.code for aside in estimate.asides.all()] == ["wall-paint"]


def test_a_metric_firm_gets_no_feet_in_its_room_forms(reader: CatalogReader) -> None:
    reader.firm.units = Firm.Units.METRIC
    room = reading(FULL, reader).save().job.rooms.all()[0]
    assert room.entry == {}
    assert room.legs[0][0] == parse_length("12'")


def test_a_file_that_fails_half_way_leaves_nothing(
    reader: CatalogReader, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full_disk(*args: Any, **kwargs: Any) -> None:
        raise OSError("no space left")

    file = reading(FULL, reader)
    monkeypatch.setattr(Allowance.objects, "bulk_create", full_disk)
    with pytest.raises(OSError, match="no space"):
        file.save()
    assert [model.objects.count() for model in (Client, Job, Room, Estimate)] == [0, 0, 0, 0]


VALUES: list[tuple[tuple[str | int, ...], Any, str]] = [
    (("job", "date"), "2026-13-40", "job.date: "),
    (("job", "year_built"), 19, "job.year_built: 19 is out of range"),
    (("job", "tax_percent"), "-1", "job.tax_percent: -1 is out of range"),
    (("job", "name"), "x" * 10_000, "job.name: "),
    (("job", "client", "email"), "nobody", "job.client.email: "),
    (("rooms", 0, "openings", 1, "width"), "-3", "rooms[0].openings[1].width: "),
    (("rooms", 0, "openings", 1, "width"), "0", "rooms[0].openings[1].width: "),
    (("rooms", 0, "openings", 1, "width"), "40'", "rooms[0].openings[1].width: Window, 40'"),
    (("rooms", 0, "openings", 1, "offset"), "9' 6\"", "rooms[0].openings[1].offset: Window must begin"),
    (("rooms", 0, "openings", 0, "wall"), "F", "rooms[0].openings[0].wall: This room has no wall F"),
    (("rooms", 0, "fixed", 2, "length"), "11'", "rooms[0].fixed[2].length: Sink run, 11'"),
    (("rooms", 0, "device_boxes"), 2.5, "rooms[0].device_boxes: “2.5” isn't a whole number."),
    (("rooms", 0, "height"), "tall", "rooms[0].height: "),
    (("rooms", 1, "cut_width"), "8'", "rooms[1].cut_"),
    (("rooms", 2, "walls", 1, "turn"), "250 right", "rooms[2].walls[1].turn: 250 is out of range"),
    (("rooms", 2, "balanced"), False, "rooms[2].walls: "),
    (("rooms", 2, "name"), " Hall ", "rooms[2].name: two rooms are called “Hall”: give each its own."),
    (("work", 0, "assembly"), "gold-leaf", "work[0].assembly: the catalog has no assembly “gold-leaf”."),
    (
        ("work", 0, "rooms", 0, "room"),
        "Attic",
        "work[0].rooms[0].room: no room here is called “Attic”: there is Kitchen, Hall, Bay.",
    ),
    (
        ("work", 0, "rooms", 1, "room"),
        "Kitchen",
        "work[0].rooms[1].room: “Kitchen” is named twice for this work.",
    ),
    (
        ("work", 0, "rooms", 1, "walls"),
        ["A", "G"],
        "work[0].rooms[1].walls: Hall has no wall G: its walls are A to F.",
    ),
    (
        ("work", 0, "measures", 0, "measure"),
        "ceiling",
        "work[0].measures[0].measure: floor paint doesn't use this: it uses floor.",
    ),
    (("work", 0, "measures", 0, "amount"), "a lot", "work[0].measures[0].amount: “a lot” isn't a number."),
    (
        ("work", 0, "measures", 0, "amount"),
        "999999 squares",
        "work[0].measures[0].amount: 999999 squares",
    ),
    (
        ("work", 0, "measures", 0, "reason"),
        "",
        "work[0].measures[0].reason: say why, so that the change can be read later.",
    ),
    (
        ("work", 0, "client_supplies", 0, "material"),
        "gold",
        "work[0].client_supplies[0].material: floor paint takes no such material: it has paint.",
    ),
    (("work", 0, "client_supplies", 0, "needed_by"), "2026-02-30", "work[0].client_supplies[0].needed_by: "),
    (("work", 0, "hours"), "1.234", "work[0].hours: 1.234 has too many decimals: at most 2."),
    (("work", 2, "equipment"), "465.005", "work[2].equipment: "),
    (("work", 2, "title"), " ", "work[2].title: "),
    (("allowances", 0, "amount"), "0", "allowances[0].amount: An allowance is more than nothing"),
    (("pricing", "labor_markup"), "-100", "pricing.labor_markup: A markup of -100% or less"),
    (("pricing", "labor_rate"), "12.345", "pricing.labor_rate: "),
    (("pricing", "days_per_run"), 0, "pricing.days_per_run: 0 is out of range"),
    (("terms",), "x" * 5_000, "terms: "),
    (("set_aside",), ["gold-leaf"], "set_aside[0]: the catalog has no assembly “gold-leaf”."),
    (
        ("on_hand",),
        [{"material": "gold", "amount": "1"}],
        "on_hand[0].material: the catalog has no material “gold”.",
    ),
    (("on_hand",), [{"material": "paint", "amount": "some"}], "on_hand[0].amount: "),
]


@pytest.mark.parametrize(("path", "typed", "begins"), VALUES)
def test_a_value_that_cannot_be_is_refused_at_its_place(
    reader: CatalogReader, path: tuple[str | int, ...], typed: Any, begins: str
) -> None:
    (fault,) = faults(changed(*path, to=typed), reader)
    assert fault.startswith(begins)


def test_each_of_several_faults_in_a_room_is_told_at_its_own_place(reader: CatalogReader) -> None:
    named = faults(changed("rooms", 0, "height", to="6'"), reader)
    assert [fault.partition(":")[0] for fault in named] == [
        "rooms[0].openings[0].height",
        "rooms[0].openings[1].height",
    ]


def test_every_fault_is_told_at_once_whatever_its_kind(reader: CatalogReader) -> None:
    data = changed("rooms", 0, "openings", 1, "width", to="-3")
    data["rooms"][1]["heigth"] = "8'"
    data["work"][0]["hours"] = "many"
    del data["job"]["client"]
    assert [fault.partition(":")[0] for fault in faults(data, reader)] == [
        "job.client",
        "rooms[1].heigth",
        "rooms[0].openings[1].width",
        "work[0].hours",
    ]


@pytest.mark.parametrize(
    ("text", "begins"),
    [
        ("", "line 1, column 1: this can't be read as JSON"),
        ('{"job": ', "line 1, column 9: this can't be read as JSON"),
        ('{"rooms": NaN}', "the file: NaN isn't a number that can be read."),
        ('{"job": {}, "job": {}}', "the file: “job” is given twice in the same braces: keep one."),
        ('{"terms": "\\ud800"}', "the file: it holds half of a character pair"),
        ("[" * 100_000, "the file: its values are nested too deep to be read."),
        ("[]", "the file: this must be named values in braces."),
        ("{}", "job: this is missing."),
    ],
    ids=["empty", "cut off", "not a number", "twice", "half a pair", "too deep", "a list", "nothing"],
)
def test_text_that_is_no_file_gets_a_sentence(reader: CatalogReader, text: str, begins: str) -> None:
    with pytest.raises(UnfitFile) as unfit:
        read(text, reader.firm, reader)
    assert str(unfit.value).startswith(begins)


def test_an_empty_catalog_names_the_command_that_fills_it(db: None) -> None:
    firm = make_firm()
    data = {**FULL, "work": [{"assembly": "floor-paint"}], "set_aside": [], "on_hand": []}
    (fault,) = faults(data, CatalogReader(firm))
    assert fault.startswith("work[0].assembly: the catalog is empty.")
    assert "python manage.py starter_catalog" in fault


def test_work_without_an_assembly_needs_no_catalog(db: None) -> None:
    data = {**FULL, "work": [{"title": "Haul", "phase": "close", "hours": 2}], "set_aside": [], "on_hand": []}
    # two hours and two supply runs of two hours at $60.00
    assert reading(data, CatalogReader(make_firm())).draft().priced.hours == 6


def test_runs_of_cabinets_and_joists_are_read_and_stored(reader: CatalogReader) -> None:
    run = {"kind": "hung", "wall": "A", "depth": "12 in", "units": "36, 30", "bottom": "56 in"}
    joists = {"size": "2x10", "spacing": "16 in", "span": "12 ft", "species": "spf", "grade": "2"}
    data = changed("rooms", 0, "fixed", to=[run])
    data["rooms"][0]["joists"] = joists
    read_file = reading(data, reader)
    plan = read_file.rooms[0].plan
    assert plan.footprints[0].length_nm == parse_length("66 in")
    assert plan.joists is not None
    assert plan.joists.span_nm == parse_length("12'")
    stored = read_file.save().job.rooms.get(position=0).plan()
    assert (stored.footprints, stored.joists) == (plan.footprints, plan.joists)
    joists["span"] = "40 ft"
    assert faults(data, reader) == [
        "rooms[0].joists.span: This is judged from 3' 0\" to 26' 0\": beyond, ask an engineer."
    ]


def test_studs_and_ceiling_joists_are_read_and_stored(reader: CatalogReader) -> None:
    data = changed("rooms", 0, "stud_spacing", to="16 in")
    data["rooms"][0] |= {"stud_first": '9 1/2"', "joist_spacing": "24 in"}
    data["rooms"][0] |= {"floor_spacing": "16 in", "floor_first": "4 in", "floor_run": "along"}
    read_file = reading(data, reader)
    plan = read_file.rooms[0].plan
    assert plan.studs == Framing(parse_length('16"'), parse_length('9.5"'))
    assert plan.ceiling_joists == Framing(parse_length('24"'))
    stored = read_file.save().job.rooms.get(position=0).plan()
    assert plan.floor_joists == Framing(parse_length('16"'), parse_length('4"'), along_a=True)
    kept = (stored.studs, stored.ceiling_joists, stored.floor_joists)
    assert kept == (plan.studs, plan.ceiling_joists, plan.floor_joists)
    data["rooms"][0]["stud_spacing"] = "5 ft"
    assert faults(data, reader) == [
        'rooms[0].stud_spacing: Studs are 6" to 24" apart, center to center.',
    ]
