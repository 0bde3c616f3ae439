"""From cost to price, tax and total, to the cent."""

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.markup import Markup
from estimating.pricing.price import AllowanceInput, Policy, PricedEstimate, by_phase, price
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.specs import assembly, material, operation, policy, room, uses


def line(title: str, hours: str = "0", material: str = "0", **fields: Any) -> Work:
    fields.setdefault("phase", "board")
    return Work(
        key=title, title=title, extra_hours=Fraction(hours), material_cost=Decimal(material), **fields
    )


def priced(
    *works: Work, rule: Policy | None = None, allowances: Sequence[AllowanceInput] = ()
) -> PricedEstimate:
    return price(take_off({}, works), rule or policy(), allowances)


CONSUMER = {"tax_policy": "consumer", "tax_rate": Fraction("0.065")}


def test_labor_is_hours_at_cost_with_its_margin() -> None:
    assert priced(line("hang", hours="7")).total == Decimal("560.00")


def test_a_line_is_rounded_once_half_up() -> None:
    # 144.50 and 6.5 % at the store are 153.89, and 20 % on it 184.668
    assert priced(line("hang", "7", "144.50"), rule=policy(**CONSUMER)).total == Decimal("744.67")


def test_tax_paid_at_the_store_is_a_cost_and_takes_markup() -> None:
    estimate = priced(line("protect", "6", "120"), rule=policy(**CONSUMER))
    assert estimate.lines[0].store_tax == Decimal("7.80")
    assert (estimate.total, estimate.tax) == (Decimal("633.36"), Decimal("0.00"))


def test_store_tax_is_computed_once_on_all_purchases_and_split_to_the_cent() -> None:
    # three lines of 0.10 at 6.5 % are 0.0065 each: none alone is a cent, together they are two
    estimate = priced(*(line(str(n), material="0.10") for n in range(3)), rule=policy(**CONSUMER))
    assert [line.store_tax for line in estimate.lines] == [Decimal("0.01"), Decimal("0.01"), Decimal(0)]


def test_untaxed_material_carries_no_tax() -> None:
    estimate = priced(line("dump", "18", "465", material_taxable=False), rule=policy(**CONSUMER))
    assert estimate.total == Decimal("1998.00")


def test_equipment_and_subcontracts_take_their_own_markups() -> None:
    work = line("saw", equipment_cost=Decimal("100"), subcontract_cost=Decimal("640"))
    assert priced(work).total == Decimal("824.00")


def test_tax_on_materials_is_charged_on_their_price_once() -> None:
    rule = policy(tax_policy="materials", tax_rate=Fraction("0.0725"))
    estimate = priced(line("a", "1", "10"), line("b", "1", "10"), rule=rule)
    assert (estimate.tax_base, estimate.tax) == (Decimal("24.00"), Decimal("1.74"))


def test_tax_on_everything_is_charged_on_the_subtotal() -> None:
    rule = policy(tax_policy="everything", tax_rate=Fraction("0.065"))
    assert priced(line("a", "1"), rule=rule).tax == Decimal("5.20")


def test_a_half_cent_of_tax_rounds_up() -> None:
    # SSUTA section 324: a third decimal above four rounds up. 10.20 at 7.25 % is 0.7395.
    rule = policy(tax_policy="everything", tax_rate=Fraction("0.0725"), material=Markup(Decimal(0), "markup"))
    assert priced(line("a", material="10.20"), rule=rule).tax == Decimal("0.74")


def test_the_official_invoice_example_rounds_half_up_and_not_to_even() -> None:
    # EN 16931, official UBL example 2: 1460.50 at 25 % is 365.125, printed as 365.13
    rule = policy(tax_policy="everything", tax_rate=Fraction("0.25"), material=Markup(Decimal(0), "markup"))
    assert priced(line("a", material="1460.50"), rule=rule).tax == Decimal("365.13")


def test_a_contingency_that_is_not_shown_is_spread_to_the_cent() -> None:
    rule = policy(contingency=Fraction(1, 10))
    estimate = priced(line("a", "1"), line("b", "2"), line("c", material="0.01"), rule=rule)
    assert estimate.contingency == Decimal("24.00")
    assert sum(line.client_price for line in estimate.lines) == estimate.total == Decimal("264.01")
    assert all(line.kind == "work" for line in estimate.lines)


def test_a_contingency_that_is_shown_is_a_line_of_its_own() -> None:
    estimate = priced(line("a", "1"), rule=policy(contingency=Fraction(1, 10), show_contingency=True))
    assert [(line.title, line.client_price) for line in estimate.lines] == [
        ("a", Decimal("80.00")),
        ("Contingency", Decimal("8.00")),
    ]


def test_a_contingency_of_the_cost_is_a_share_of_what_the_work_costs_before_markup() -> None:
    # 10 h at $70.00 cost $700.00 and sell at $800.00; $100.00 of material sells at $120.00
    of = {"contingency": Fraction(1, 10), "show_contingency": True}
    of_price = priced(line("a", "10", "100"), rule=policy(**of))
    of_cost = priced(line("a", "10", "100"), rule=policy(**of, contingency_of="cost"))
    assert (of_price.contingency_base, of_price.contingency) == (Decimal("920.00"), Decimal("92.00"))
    assert (of_cost.contingency_base, of_cost.contingency) == (Decimal("800.00"), Decimal("80.00"))
    assert (of_price.total, of_cost.total) == (Decimal("1012.00"), Decimal("1000.00"))
    assert of_price.cost == of_cost.cost == Decimal("800.00")


def test_a_contingency_of_the_cost_counts_tax_paid_at_the_store_and_allowances() -> None:
    rule = policy(**CONSUMER, contingency=Fraction(1, 10), contingency_of="cost")
    cabinets = AllowanceInput("c", "Cabinets", "set", Decimal("6400.00"))
    estimate = priced(line("a", "10"), rule=rule, allowances=[cabinets])
    assert estimate.contingency_base == estimate.cost == Decimal("700.00") + Decimal("6816.00")
    assert estimate.contingency == Decimal("751.60")


def test_a_small_job_comes_up_to_the_least_charge() -> None:
    estimate = priced(line("patch", "3.5"), rule=policy(minimum_charge=Decimal("560")))
    assert (estimate.lines[-1].client_price, estimate.total) == (Decimal("280.00"), Decimal("560.00"))


def test_contingency_and_least_charge_say_what_they_are_and_come_to() -> None:
    rule = policy(contingency=Fraction(1, 10), show_contingency=True, minimum_charge=Decimal("560"))
    *_, contingency, minimum = priced(line("a", "1"), rule=rule).lines
    assert [(added.key, added.kind, added.price, added.client_price) for added in (contingency, minimum)] == [
        ("contingency", "contingency", Decimal("8.00"), Decimal("8.00")),
        ("minimum", "minimum", Decimal("472.00"), Decimal("472.00")),
    ]


def test_no_work_is_not_charged_for() -> None:
    assert priced(rule=policy(minimum_charge=Decimal("560"))).total == 0


def test_an_allowance_at_cost_takes_tax_and_markup() -> None:
    cabinets = AllowanceInput("c", "Cabinets", "set", Decimal("6400.00"))
    estimate = priced(rule=policy(**CONSUMER), allowances=[cabinets])
    assert (estimate.cost, estimate.total) == (Decimal("6816.00"), Decimal("8179.20"))


def test_an_allowance_at_cost_takes_no_tax_where_the_firm_pays_none_at_the_store() -> None:
    allowance = AllowanceInput("tile", "Tile", "finish", Decimal("500.00"), at_cost=True, covers_tax=True)
    (line,) = priced(rule=policy(tax_policy="none"), allowances=[allowance]).lines
    assert (line.store_tax, line.price) == (Decimal("0.00"), Decimal("600.00"))


def test_an_allowance_that_leaves_tax_out_takes_none() -> None:
    allowance = AllowanceInput("tile", "Tile", "finish", Decimal("500.00"), at_cost=True, covers_tax=False)
    (line,) = priced(rule=policy(**CONSUMER), allowances=[allowance]).lines
    assert (line.store_tax, line.price) == (Decimal("0.00"), Decimal("600.00"))


def test_tax_paid_on_rented_equipment_takes_the_markup_on_equipment() -> None:
    # 200.00 and 6.5 % at the store are 213.00, and 10 % on it 234.30
    rule = policy(**CONSUMER, equipment=Markup(Decimal(10)))
    lift = material("lift", "each", ("1", "200.00"), kind="equipment")
    rent = assembly("rent", "each", uses(lift, measure="each"))
    work = line("rent", assembly=rent, overrides=(Override("each", Fraction(1), "by hand"),))
    (rented,) = priced(work, rule=rule).lines
    assert (rented.equipment_tax, rented.price) == (Decimal("13.00"), Decimal("234.30"))


def test_an_allowance_at_price_is_what_the_client_sees() -> None:
    vanity = AllowanceInput("v", "Vanity", "set", Decimal("780.00"), at_cost=False)
    estimate = priced(rule=policy(**CONSUMER), allowances=[vanity])
    assert (estimate.total, estimate.cost) == (Decimal("780.00"), Decimal("650.00"))


def test_an_option_stays_out_of_the_sum() -> None:
    estimate = priced(line("a", "1"), line("skim", "2", is_option=True))
    assert (estimate.total, estimate.options[0].price) == (Decimal("80.00"), Decimal("160.00"))


def test_lines_under_one_name_are_bought_for_and_priced_as_one_option() -> None:
    paint = assembly(
        "paint", "each", uses(material("paint", "gal", ("1", "40.00")), "0.5 gal per each", "each")
    )
    once: dict[str, Any] = {
        "assembly": paint,
        "overrides": (Override("each", Fraction(1), "by hand"),),
        "is_option": True,
    }
    named = {**once, "option_name": "Painted both sides"}
    alone, both = priced(line("lone", **once), line("a", "1", **named), line("b", **named)).options
    assert (alone.price, alone.parts) == (Decimal("48.00"), ())
    # one gallon serves both: 40.00 with 20 %, split between them, and an hour
    assert (both.title, both.price) == ("Painted both sides", Decimal("128.00"))
    assert [(part.key, part.price) for part in both.parts] == [
        ("a", Decimal("104.00")),
        ("b", Decimal("24.00")),
    ]


def test_what_is_set_up_once_is_set_up_once_in_an_option_of_several_lines() -> None:
    hang = operation("hang", "1 hour per each", unit="each")
    work = assembly("hang", "each", uses(hang, measure="each", set_up=Fraction(2), set_up_per="job"))
    named: dict[str, Any] = {"is_option": True, "option_name": "Doors", "assembly": work}
    doors = [line(key, **named, overrides=(Override("each", Fraction(1), "by hand"),)) for key in "ab"]
    assert [part.hours for part in priced(*doors).options[0].parts] == [Decimal(3), Decimal(1)]


def test_a_supply_run_buys_what_so_many_working_days_need() -> None:
    rule = policy(runs=None, run_hours=Fraction(2), days_per_run=5)
    works = [line(str(n), "14", "1") for n in range(6)]  # each two days long: begun on days 1, 3, 5, 7, 9, 11
    estimate = priced(*works, rule=rule)  # the first run serves days 1 to 5, the next 7 to 11
    assert (estimate.trips.runs, estimate.lines[-1].client_price) == (2, Decimal("320.00"))
    assert priced(*works, rule=policy(runs=None, days_per_run=1)).trips.runs == 6


def test_what_cant_be_stored_has_a_run_on_the_day_that_needs_it() -> None:
    def runs(keeps_days: int | None) -> int:
        mortar = material("mortar", "lb", ("50", "9.00"), keeps_days=keeps_days)
        bed = line("bed", "7", assembly=assembly("bed", "each", uses(mortar, "50 lb per each", "each")))
        bed = replace(bed, overrides=(Override("each", Fraction(1), "by hand"),))
        works = (line("board", "14", "1"), bed)
        return priced(*works, rule=policy(runs=None, days_per_run=5)).trips.runs

    assert (runs(None), runs(9), runs(1)) == (1, 1, 2)


def test_one_long_piece_of_work_is_bought_for_once() -> None:
    assert priced(line("a", "77", "1"), rule=policy(runs=None, days_per_run=5)).trips.runs == 1


def test_nothing_to_buy_needs_no_run() -> None:
    assert priced(line("a", "70"), rule=policy(runs=None)).trips.runs == 0


THREE_COATS = assembly(
    "tape",
    "floor",
    uses(operation("coat", "1 hour per 120 sq ft", "sq ft", wait_hours=Fraction(12)), times=3),
    uses(operation("sand", "1 hour per 240 sq ft", "sq ft")),
)


def _patch(phase: str = "finish") -> Work:
    return Work(key="patch", title="patch", phase=phase, assembly=THREE_COATS, rooms=(RoomUse("a"),))


def test_a_short_patch_that_dries_three_nights_is_priced_by_what_that_leaves_empty_of_its_days() -> None:
    estimate = price(take_off({"a": room()}, [_patch()]), policy(visit_hours=Fraction(1)))
    assert estimate.lines[0].hours == Decimal("3.50")
    # an hour on each of three days of 7 hours leaves 6/7 of each empty, and on the fourth the work ends
    assert (estimate.trips.planned_days, estimate.trips.extra_visits) == (4, Decimal("2.57"))
    assert estimate.total == Decimal("485.60")  # 3.5 h and 2.57 return visits of an hour, at $80.00


def test_the_price_never_falls_as_hours_are_added_that_fill_days_of_drying() -> None:
    hours = [Fraction(quarters, 4) for quarters in range(1, 100)]
    totals = [
        price(take_off({"a": room()}, [_patch(), line("wall", str(more), phase="finish")]), policy()).total
        for more in hours
    ]
    assert totals == sorted(totals)


def test_a_long_job_fills_its_drying_days_with_other_work() -> None:
    work = [_patch(), *(line(f"wall {n}", "6", phase="finish") for n in range(6))]
    estimate = price(take_off({"a": room()}, work), policy())  # 39.5 h at 7 h a day
    assert (estimate.trips.planned_days, estimate.trips.extra_visits) == (6, 0)


def test_work_of_a_later_phase_waits_until_the_last_coat_is_dry() -> None:
    work = [_patch(), line("cabinets", "36", phase="set")]
    estimate = price(take_off({"a": room()}, work), policy())
    # three nights of drying, and on the fourth day 0.5 h of sanding before 36 h: 36.5 h are six days more
    assert (estimate.trips.planned_days, estimate.trips.extra_visits) == (9, Decimal("2.57"))


def test_the_last_coat_of_the_last_phase_forces_no_visit() -> None:
    last = assembly(
        "seal", "floor", uses(operation("seal", "1 hour per 120 sq ft", "sq ft", wait_hours=Fraction(24)))
    )
    work = Work(key="seal", title="seal", phase="close", assembly=last, rooms=(RoomUse("a"),))
    assert price(take_off({"a": room()}, [work]), policy()).trips.planned_days == 1


def test_hours_shown_times_the_rate_give_the_labor_cost_shown() -> None:
    estimate = priced(line("a", "1/3"))
    assert (estimate.lines[0].hours, estimate.lines[0].labor_cost) == (Decimal("0.33"), Decimal("23.10"))


def test_working_days_are_whole_days() -> None:
    assert priced(line("a", "172")).working_days == 25


def test_a_short_patch_takes_as_many_days_as_it_needs_visits() -> None:
    assert price(take_off({"a": room()}, [_patch()]), policy()).working_days == 4


def test_drying_that_the_work_fills_adds_no_day() -> None:
    work = [_patch(), *(line(f"wall {n}", "5.5", phase="finish") for n in range(7))]
    assert price(take_off({"a": room()}, work), policy()).working_days == 6  # 42 h at 7 h a day


def test_margin_is_what_is_left_of_the_price() -> None:
    assert priced(line("a", "10")).margin == Fraction(1, 8)


MONEY = st.decimals(0, 9999, places=2)
HOURS = st.integers(0, 400).map(lambda quarters: str(Fraction(quarters, 4)))


@given(
    st.lists(st.tuples(HOURS, MONEY, st.sampled_from(["board", "floor", "trim"])), max_size=12),
    st.sampled_from(["consumer", "materials", "everything", "none"]),
    st.integers(0, 20),
    st.sampled_from(["price", "cost"]),
    st.booleans(),
)
def test_parts_sum_to_the_whole_whatever_the_policy(
    rows: list[tuple[str, Decimal, str]], tax_policy: str, contingency: int, of: str, shown: bool
) -> None:
    work = [line(str(n), hours, str(cost), phase=phase) for n, (hours, cost, phase) in enumerate(rows)]
    rule = policy(
        tax_policy=tax_policy,
        tax_rate=Fraction("0.0825"),
        contingency=Fraction(contingency, 100),
        contingency_of=of,
        show_contingency=shown,
        minimum_charge=Decimal("300"),
    )
    estimate = priced(*work, rule=rule)
    assert sum(line.client_price for line in estimate.lines) + estimate.tax == estimate.total
    assert sum(by_phase(estimate.lines).values()) == estimate.subtotal
    assert sum(line.cost for line in estimate.lines) == estimate.cost
    work_sum = sum((line.price for line in estimate.lines if line.kind == "work"), Decimal(0))
    base = estimate.cost if of == "cost" else work_sum
    assert abs(estimate.contingency - Decimal(base) * contingency / 100) <= Decimal("0.005")
    assert estimate.subtotal == max(work_sum + estimate.contingency, Decimal(300) if rows else 0)


# The priced scope of the invented kitchen: hours, material, taxed or not, price
KITCHEN = [
    ("6", "120.00", True, "633.36"),
    ("18", "465.00", False, "1998.00"),
    ("3", "34.00", True, "283.45"),
    ("7", "144.50", True, "744.67"),
    ("12", "39.00", True, "1009.85"),
    ("16", "202.00", True, "1538.16"),
    ("8", "188.25", True, "880.59"),
    ("24", "951.10", True, "3135.50"),
    ("8", "53.00", True, "707.74"),
    ("36", "48.00", True, "2941.34"),
    ("17", "217.75", True, "1638.28"),
    ("3", "126.00", True, "401.03"),
]


@pytest.mark.parametrize(("hours", "material", "taxed", "expected"), KITCHEN)
def test_each_line_of_the_invented_kitchen_prices_as_its_table_says(
    hours: str, material: str, taxed: bool, expected: str
) -> None:
    work = line("line", hours, material, material_taxable=taxed)
    assert priced(work, rule=policy(**CONSUMER)).total == Decimal(expected)


def test_a_day_of_less_than_a_quarter_hour_is_planned_as_one() -> None:
    estimate = priced(line("line", "1"), rule=policy(hours_per_day=Fraction(1, 100)))
    assert estimate.trips.planned_days == 4


def test_phases_are_in_the_order_of_the_work() -> None:
    works = [line(phase, "1", phase=phase) for phase in ("close", "finish", "board", "protect")]
    assert list(by_phase(priced(*works).lines)) == ["protect", "board", "finish", "close"]
