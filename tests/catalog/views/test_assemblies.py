"""Labor, assemblies with their parts, kits: rates are checked against units when they are saved."""

from decimal import Decimal
from fractions import Fraction

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoAssertNumQueries

from catalog.assemblies.formulas import FORMULAS, rate_from
from catalog.forms.components import ComponentForm
from catalog.measures.lengths import NM_PER_INCH
from catalog.models import Assembly, Companion, Component, Kit, KitLine, Material, Operation
from tests.catalog.views.posting import refused, send
from tests.factories import (
    add_component,
    make_assembly,
    make_firm,
    make_material,
    make_operation,
    make_painting,
)

LABOR = {
    "name": "Roll walls",
    "unit": "sq ft",
    "rate_typed": "9 hours per 1000 sq ft",
    "set_up_hours": "0.25",
    "wait_hours": "4",
    "source": "common practice",
}
ASSEMBLY = {
    "name": "Paint walls",
    "phase": "finish",
    "measure": "wall_net",
    "deduct_material": "firm",
    "deduct_labor": "all",
    "tile_pattern": "straight",
    "tile_spare_percent": "5",
}


def part(use: Material | Operation | Assembly, **typed: str) -> dict[str, str]:
    kind = {"Material": "material", "Operation": "operation", "Assembly": "part"}[type(use).__name__]
    return {
        "uses": f"{kind}:{use.pk}",
        "scales_with": "",
        "rate_typed": "",
        "times": "1",
        "waste_percent": "0",
        "set_up": "0",
        "set_up_per": "job",
    } | typed


def test_hours_are_typed_as_the_trade_states_them(signed_in: Client) -> None:
    send(signed_in, "operation-new", **LABOR)
    labor = Operation.objects.get()
    assert (labor.code, labor.rate_typed) == ("roll-walls", "9 hours per 1000 sq ft")
    assert labor.hours_per_unit == Fraction(9, 1000)
    assert (labor.set_up_hours, labor.wait_hours) == (Decimal("0.25"), Decimal(4))


def test_hours_that_do_not_fit_the_unit_are_refused_and_kept(signed_in: Client) -> None:
    answer = send(signed_in, "operation-new", **LABOR | {"rate_typed": "9 hours per 100 ft"})
    assert "hour and sq ft are wanted here" in refused(answer, "rate_typed")
    assert 'value="9 hours per 100 ft"' in answer.content.decode()
    assert not Operation.objects.exists()


def test_labor_says_where_its_rate_comes_from(signed_in: Client) -> None:
    assert refused(send(signed_in, "operation-new", **LABOR | {"source": ""}), "source") == "Fill this in."


def test_what_hours_come_to_is_read_back_while_they_are_typed(signed_in: Client) -> None:
    asked = {"rate_typed": "9 hours per 1000 sq ft", "unit": "sq ft"}
    assert signed_in.get(reverse("hours-reading"), asked).content == b"100 sq ft takes 0.9 hours."


def test_the_unit_of_labor_stays_while_work_counts_in_it(signed_in: Client) -> None:
    labor = make_painting().components.get(operation__isnull=False).operation
    typed = LABOR | {"name": labor.name, "unit": "ft", "rate_typed": "1 hour per 10 ft"}
    assert "so that stays" in refused(send(signed_in, "operation", labor.pk, **typed), "unit")


def test_changed_hours_change_the_rate(signed_in: Client) -> None:
    labor = make_operation("Roll walls")
    send(signed_in, "operation", labor.pk, **LABOR | {"rate_typed": "0.5 hours per 100 sq ft"})
    labor.refresh_from_db()
    assert labor.hours_per_unit == Fraction(1, 200)


def test_an_assembly_is_added_and_then_asks_for_its_parts(signed_in: Client) -> None:
    answer = signed_in.post(reverse("assembly-new"), ASSEMBLY, follow=True)
    assert Assembly.objects.get().code == "paint-walls"
    assert "Now say what it is made of." in answer.content.decode()


def test_how_tile_is_set_is_typed_with_the_assembly_and_shown(signed_in: Client) -> None:
    typed = ASSEMBLY | {"tile_joint_nm": "3/16", "tile_offset": "1/3"}
    answer = signed_in.post(reverse("assembly-new"), typed, follow=True)
    assembly = Assembly.objects.get()
    assert (assembly.tile_joint_nm, assembly.tile_offset) == (3 * NM_PER_INCH // 16, "1/3")
    words = answer.content.decode()
    assert "Joints between tiles: 3/16&quot;." in words
    assert "Each course of tile is offset by a third of a tile." in words


def test_an_assembly_needs_to_say_nothing_of_tile(signed_in: Client) -> None:
    assert ">Not said</option>" in signed_in.get(reverse("assembly-new")).content.decode()
    send(signed_in, "assembly-new", **ASSEMBLY | {"tile_joint_nm": "", "tile_offset": ""})
    assembly = Assembly.objects.get()
    assert (assembly.tile_joint_nm, assembly.tile_offset) == (None, "")


def test_a_duplicate_assembly_name_is_refused(signed_in: Client) -> None:
    make_assembly("Paint walls")
    assert "already" in refused(send(signed_in, "assembly-new", **ASSEMBLY), "name")


def test_a_measure_of_another_unit_is_refused_once_parts_are_typed_against_it(signed_in: Client) -> None:
    assembly = make_painting()
    typed = ASSEMBLY | {"name": assembly.name, "measure": "base"}
    assert "doesn't fit" in refused(send(signed_in, "assembly-edit", assembly.pk, **typed), "measure")
    send(signed_in, "assembly-edit", assembly.pk, **typed | {"measure": "ceiling"})
    assembly.refresh_from_db()
    assert assembly.measure == "ceiling"


def test_a_material_is_put_in_at_a_typed_rate(signed_in: Client) -> None:
    assembly, paint = make_assembly(measure="wall_net"), make_material("Paint")
    typed = part(paint, rate_typed="350 sq ft per gallon", times="2", waste_percent="5")
    send(signed_in, "component-new", assembly.pk, **typed)
    component = assembly.components.get()
    assert (component.material, component.rate, component.times) == (paint, Fraction(1, 350), 2)
    assert (component.rate_typed, component.waste_percent) == ("350 sq ft per gallon", Decimal(5))


def test_a_rate_is_checked_against_the_measure_that_the_part_scales_with(signed_in: Client) -> None:
    assembly, screws = make_assembly(measure="floor"), make_material("Screws", unit="each")
    answer = send(signed_in, "component-new", assembly.pk, **part(screws, rate_typed="1 each 8 in"))
    assert "each and sq ft are wanted here" in refused(answer, "rate_typed")
    assert 'value="1 each 8 in"' in answer.content.decode()
    typed = part(screws, rate_typed="1 each 8 in", scales_with="joint")
    send(signed_in, "component-new", assembly.pk, **typed)
    assert assembly.components.get().rate == Fraction(3, 2)


def test_labor_counted_like_the_measure_needs_no_rate(signed_in: Client) -> None:
    assembly, labor = make_assembly(measure="floor"), make_operation(unit="sq ft")
    send(signed_in, "component-new", assembly.pk, **part(labor))
    component = assembly.components.get()
    assert (component.operation, component.rate, component.rate_typed) == (labor, 1, "")


def test_a_material_of_another_unit_must_say_how_much(signed_in: Client) -> None:
    answer = send(signed_in, "component-new", make_assembly().pk, **part(make_material("Paint")))
    assert "so say how much" in refused(answer, "rate_typed")


@pytest.mark.parametrize(
    ("field", "typed"), [("times", "0"), ("waste_percent", "-5"), ("set_up", "x"), ("uses", "material:999")]
)
def test_a_wrong_number_or_choice_is_answered_at_its_field(signed_in: Client, field: str, typed: str) -> None:
    assembly = make_assembly()
    answer = send(signed_in, "component-new", assembly.pk, **part(make_operation()) | {field: typed})
    assert refused(answer, field)
    assert not assembly.components.exists()


def test_waste_on_labor_is_refused_since_it_would_change_nothing(signed_in: Client) -> None:
    typed = part(make_operation(), waste_percent="10")
    answer = send(signed_in, "component-new", make_assembly().pk, **typed)
    assert "materials only" in refused(answer, "waste_percent")


def test_an_assembly_in_an_assembly_scales_with_it(signed_in: Client) -> None:
    outer, inner = make_assembly("kitchen floor"), make_assembly("tile floor")
    send(signed_in, "component-new", outer.pk, **part(inner))
    assert outer.components.get().part == inner


def test_an_assembly_is_not_offered_to_itself(signed_in: Client) -> None:
    assembly = make_assembly()
    answer = send(signed_in, "component-new", assembly.pk, **part(assembly))
    assert refused(answer, "uses") == "Choose one of those offered."


def test_a_loop_is_refused_with_the_names_round_it(signed_in: Client) -> None:
    first, second, third = make_assembly("first"), make_assembly("second"), make_assembly("third")
    add_component(first, second)
    add_component(second, third)
    answer = send(signed_in, "component-new", third.pk, **part(first))
    assert refused(answer, "uses") == "An assembly can't be part of itself: third > first > second > third."
    assert not third.components.exists()


def test_a_part_may_be_pointed_elsewhere_without_meeting_its_own_old_use(signed_in: Client) -> None:
    first, second, third = make_assembly("first"), make_assembly("second"), make_assembly("third")
    old = add_component(first, second)
    add_component(third, first)
    send(signed_in, "component", old.pk, **part(make_material(unit="sq ft")))
    assert send(signed_in, "component-new", second.pk, **part(third)).status_code == 302


def test_a_rate_can_be_worked_out_by_a_formula(signed_in: Client) -> None:
    assembly, tape = make_assembly(measure="joint"), make_material("Mesh tape", unit="ft")
    url = f"{reverse('component-new', args=[assembly.pk])}?formula=tape"
    typed = {**part(tape), "input-waste": "20"}
    del typed["rate_typed"]
    assert signed_in.post(url, typed).status_code == 302
    component = assembly.components.get()
    assert (component.formula, component.formula_inputs) == ("tape", {"waste": "20"})
    assert component.rate == Fraction(6, 5) == rate_from("tape", {"waste": "20"}).per_unit
    page = signed_in.get(reverse("component", args=[component.pk])).content.decode()
    assert 'name="input-waste" value="20"' in page


def test_an_input_of_a_formula_is_answered_at_its_own_field(signed_in: Client) -> None:
    assembly, tape = make_assembly(measure="joint"), make_material("Mesh tape", unit="ft")
    url = f"{reverse('component-new', args=[assembly.pk])}?formula=tape"
    answer = signed_in.post(url, {**part(tape), "input-waste": "-3"})
    assert refused(answer, "input-waste")
    assert 'value="-3"' in answer.content.decode()


def test_every_input_that_cannot_be_used_is_named_at_once_and_its_label_once(signed_in: Client) -> None:
    assembly, mortar = make_assembly(), make_material("Mortar", unit="lb")
    url = f"{reverse('component-new', args=[assembly.pk])}?formula=thinset_bed"
    typed = {"input-collapse": "-1", "input-coverage": "x", "input-notch_width": "wide"}
    form = signed_in.post(url, {**part(mortar), **typed}).context["form"]
    assert form.errors.keys() == typed.keys()
    assert form.errors["input-collapse"] == ["It must be more than zero."]
    assert form.errors["input-coverage"] == ["x isn't a number such as 12.5."]


def test_typing_the_rate_again_forgets_the_formula(signed_in: Client) -> None:
    assembly, tape = make_assembly(measure="joint"), make_material("Mesh tape", unit="ft")
    component = add_component(assembly, tape, "1 ft per ft", formula="tape", formula_inputs={"waste": "20"})
    url = f"{reverse('component', args=[component.pk])}?formula="
    signed_in.post(url, part(tape, rate_typed="1.05 ft per ft"))
    component.refresh_from_db()
    assert (component.formula, component.formula_inputs, component.rate) == ("", {}, Fraction(21, 20))


@pytest.mark.django_db
@pytest.mark.parametrize("code", sorted(FORMULAS))
def test_every_formula_asks_for_all_its_inputs(code: str) -> None:
    form = ComponentForm(assembly=make_assembly(), formula=FORMULAS[code])
    assert [known.name for known in FORMULAS[code].inputs] == [
        name.removeprefix("input-") for name in form.fields if name.startswith("input-")
    ]


def test_what_a_part_comes_to_is_read_back_while_it_is_typed(signed_in: Client) -> None:
    paint = make_material("Paint")
    asked = {"uses": f"material:{paint.pk}", "rate_typed": "350 sq ft per gallon", "measure": "wall_net"}
    assert signed_in.get(reverse("component-reading"), asked).content == b"100 sq ft takes 0.29 gal."


@pytest.mark.parametrize("uses", ["material:²", "material:999999999999999999999", "secret:1", "", ":"])
def test_a_reading_of_what_is_not_there_is_empty(signed_in: Client, uses: str) -> None:
    asked = {"uses": uses, "rate_typed": "350 sq ft per gallon", "measure": "wall_net"}
    answer = signed_in.get(reverse("component-reading"), asked)
    assert (answer.status_code, answer.content) == (200, b"")


def test_parts_move_up_and_down_and_the_moved_one_keeps_the_focus(signed_in: Client) -> None:
    assembly = make_assembly()
    first, second, third = (add_component(assembly, make_operation(), position=0) for _ in range(3))
    answer = signed_in.post(reverse("component-move", args=[third.pk]), {"step": "up"}, follow=True)
    assert list(assembly.components.all()) == [first, third, second]
    page = answer.content.decode()
    assert page.count("autofocus") == 1
    assert (
        page.index(f'id="part-{third.pk}"') < page.index("autofocus") < page.index(f'id="part-{second.pk}"')
    )
    send(signed_in, "component-move", first.pk, step="up")
    send(signed_in, "component-move", first.pk, step="down")
    assert list(assembly.components.all()) == [third, first, second]


def test_a_part_is_taken_out(signed_in: Client) -> None:
    assembly = make_painting()
    send(signed_in, "component-remove", assembly.components.first().pk)
    assert assembly.components.count() == 1


def test_a_trial_shows_what_an_assembly_takes_in_words(signed_in: Client) -> None:
    make_firm()
    assembly = make_painting()
    page = signed_in.get(reverse("assembly-trial", args=[assembly.pk]), {"amount": "120"}).content.decode()
    assert "Floor 120 sq ft, 60 sq ft per gal = 2 gal" in page
    assert "Floor 120 sq ft, 1 hour per 100 sq ft = 1.2 hours" in page
    assert "<strong>1.2 hours</strong>" in page
    whole = signed_in.get(reverse("assembly", args=[assembly.pk]), {"amount": "120"}).content.decode()
    assert "Floor 120 sq ft, 60 sq ft per gal = 2 gal" in whole


@pytest.mark.parametrize(
    ("typed", "sentence"), [("0", "Type more than 0"), ("-4", "out of range"), ("lots", "a number")]
)
def test_a_trial_of_nonsense_says_so(signed_in: Client, typed: str, sentence: str) -> None:
    url = reverse("assembly-trial", args=[make_painting().pk])
    assert sentence in signed_in.get(url, {"amount": typed}).content.decode()


def test_what_goes_with_an_assembly_is_named_once_and_taken_out(signed_in: Client) -> None:
    tile, board = make_assembly("tile"), make_assembly("board")
    typed = {"companion-companion": str(board.pk), "companion-reason": "tile needs a stiff floor"}
    send(signed_in, "assembly", tile.pk, **typed)
    companion = Companion.objects.get()
    assert (companion.assembly, companion.companion) == (tile, board)
    again = send(signed_in, "assembly", tile.pk, **typed)
    assert refused(again, "companion") == "Choose one of those offered."
    send(signed_in, "companion-remove", companion.pk)
    assert not Companion.objects.exists()


def test_a_kit_holds_assemblies_in_order(signed_in: Client) -> None:
    send(signed_in, "kit-new", name="Kitchen floor")
    kit = Kit.objects.get()
    board, tile = make_assembly("board"), make_assembly("tile")
    for assembly in (tile, board):
        send(signed_in, "kit", kit.pk, **{"line-assembly": str(assembly.pk)})
    send(signed_in, "kit-line-move", KitLine.objects.get(assembly=board).pk, step="up")
    assert [line.assembly for line in kit.lines.all()] == [board, tile]
    send(signed_in, "kit-line-remove", KitLine.objects.get(assembly=tile).pk)
    assert list(kit.assemblies.all()) == [board]
    again = send(signed_in, "kit", kit.pk, **{"line-assembly": str(board.pk)})
    assert refused(again, "assembly") == "Choose one of those offered."


def test_the_page_of_an_assembly_costs_no_more_queries_with_more_parts(
    signed_in: Client, django_assert_max_num_queries: DjangoAssertNumQueries
) -> None:
    make_firm()
    assembly = make_painting()
    for _ in range(12):
        add_component(assembly, make_material(unit="sq ft"))
        add_component(assembly, make_operation())
    assert Component.objects.count() == 26
    with django_assert_max_num_queries(16):
        signed_in.get(reverse("assembly", args=[assembly.pk]))


def test_an_unknown_step_moves_nothing(signed_in: Client) -> None:
    assembly = make_painting()
    before = list(assembly.components.all())
    assert send(signed_in, "component-move", before[1].pk, step="sideways").status_code == 302
    assert list(assembly.components.all()) == before
