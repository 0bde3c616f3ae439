"""The arithmetic of a change: by the signed terms, to the cent, whatever its parts."""

from collections.abc import Mapping
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.amounts import round_cents
from catalog.money.markup import Markup
from estimating.changes.price import (
    DIFFERENCE,
    AllowanceChoice,
    DeletedWork,
    LumpSumLine,
    OwnerFurnished,
    Part,
    UnitPriceLine,
    price_change,
)
from estimating.contract.lines import (
    ContractAllowance,
    ContractLine,
    ContractRules,
    SignedBasis,
    contract_allowances,
    contract_lines,
    contract_rules,
)
from estimating.pricing.change_terms import ChangeTerms, terms_in_words
from estimating.pricing.percentages import share_in_words
from estimating.pricing.price import PricedLine
from estimating.takeoff.purchasing import PurchaseCosts
from estimating.takeoff.work import NO_MONEY
from tests.estimating.unit_prices import ROTTEN_SUBFLOOR

RULES_SIGNED = ContractRules(
    terms=ChangeTerms(),
    tax_policy="consumer",
    tax_rate=Fraction("0.065"),
    labor_rate=Decimal("70.00"),
    labor=Markup(Decimal("12.5"), "margin"),
    material=Markup(Decimal(20)),
)
TILE = ContractLine(
    1, "8", "work", "Set tile", "Estimate 1001", Decimal("3135.50"), Decimal("3135.50"), Decimal("1141.32")
)
CABINETS = ContractLine(
    1,
    "allowance-1",
    "allowance",
    "Cabinets",
    "Estimate 1001",
    Decimal("8179.20"),
    Decimal("8179.20"),
    Decimal("7680.00"),
)
cents = st.decimals("0.01", "99999.99", places=2)


def rules(**changed: Any) -> ContractRules:
    terms = {name: changed.pop(name) for name in ("fee", "minimum", "keeps", "markup") if name in changed}
    return replace(RULES_SIGNED, terms=replace(RULES_SIGNED.terms, **terms), **changed)


def allowance(**changed: Any) -> ContractAllowance:
    given: dict[str, Any] = {"amount": Decimal("6400.00"), "at_cost": True, "covers_tax": True}
    return ContractAllowance(CABINETS, **given | changed)


def choice(cost: str, **changed: Any) -> AllowanceChoice:
    return AllowanceChoice("c", "Oak", allowance(**changed), Decimal(cost))


def total(of: ContractRules, *parts: Part) -> Decimal:
    return price_change(of, (), parts).total


def test_a_choice_at_the_allowance_moves_nothing() -> None:
    assert total(rules(), choice("6400.00")) == Decimal("0.00")


def test_an_allowance_without_tax_inside_leaves_the_whole_tax_to_the_client() -> None:
    # 6,400.00 + 416.00 - 6,400.00 = 416.00; a fifth of it is 83.20
    assert total(rules(), choice("6400.00", covers_tax=False)) == Decimal("499.20")


def test_an_allowance_at_the_client_s_price_is_met_with_tax_and_share() -> None:
    # 6,400.00 + 416.00 = 6,816.00; a fifth of it is 1,363.20; against 8,000.00
    met = choice("6400.00", at_cost=False, amount=Decimal("8000.00"))
    assert total(rules(), met) == Decimal("179.20")


def test_where_the_client_is_charged_tax_it_comes_on_the_net_once() -> None:
    everything = rules(tax_policy="everything")
    parts = (LumpSumLine("a", "Fan", Decimal(1), "", Decimal("60.00")), DeletedWork("t", TILE))
    priced = price_change(everything, (), parts)
    # 60.00 - 3,135.50 = -3,075.50; 6.5 % of it is 199.9075
    assert (priced.subtotal, priced.tax) == (Decimal("-3075.50"), Decimal("-199.91"))
    assert priced.total == Decimal("-3275.41")


def test_tax_on_material_goes_with_the_material_that_is_taken_out() -> None:
    priced = price_change(rules(tax_policy="materials"), (), [DeletedWork("t", TILE)])
    # 6.5 % of 1,141.32 is 74.1858
    assert priced.tax == Decimal("-74.19")


def test_what_is_kept_of_work_taken_out_is_kept_of_its_tax_too() -> None:
    priced = price_change(rules(tax_policy="materials", keeps=Fraction(1, 2)), (), [DeletedWork("t", TILE)])
    assert (priced.subtotal, priced.tax_base) == (Decimal("-1567.75"), Decimal("-570.66"))


def test_a_second_change_on_a_line_credits_what_the_first_left_and_says_so() -> None:
    # 3,135.50 less 161.03 leave 2,974.47; a tenth of it, 297.447, is kept
    line = replace(TILE, left=Decimal("2974.47"), taxable_left=Decimal("1000.00"))
    (row,) = price_change(rules(keeps=Fraction(1, 10)), (), [DeletedWork("t", line)]).rows
    assert row.rule == (
        "Its price in estimate 1001, $3,135.50, less $161.03 credited before, "
        "less 10%, $297.45, for planning and ordering."
    )
    assert (row.price, row.taxable) == (Decimal("-2677.02"), Decimal("-900.00"))


def test_a_part_of_a_line_is_taken_out_at_its_share_and_the_rest_stays() -> None:
    priced = price_change(
        rules(tax_policy="materials", keeps=Fraction(1, 10)), (), [DeletedWork("t", TILE, Decimal("1000.00"))]
    )
    (row,) = priced.rows
    assert (row.kind, row.price) == ("part_out", Decimal("-900.00"))
    assert row.taxable == -round_cents(TILE.taxable_left * 900 / TILE.left)
    assert row.rule.endswith("$100.00, for planning and ordering. The rest of it stays.")


@pytest.mark.parametrize("price", ["-40.00", "40.00"])
def test_a_difference_in_price_goes_up_or_down_and_is_no_work(price: str) -> None:
    parts = [LumpSumLine("a", "Better faucet", Decimal(1), DIFFERENCE, Decimal(price))]
    priced = price_change(rules(fee=Decimal("75.00")), (), parts)
    assert [(row.kind, row.price) for row in priced.rows] == [("difference", Decimal(price))]


def test_work_taken_out_for_the_first_time_says_nothing_of_earlier_credits() -> None:
    (row,) = price_change(rules(), (), [DeletedWork("t", TILE)]).rows
    assert row.rule == "Its price in estimate 1001, $3,135.50."


JOIST = PricedLine(
    key="7",
    kind="work",
    title="Sister one joist",
    phase="rough",
    hours=Decimal("4.00"),
    labor_cost=Decimal("280.00"),
    purchase_costs=PurchaseCosts(material_taxable=Decimal("26.80")),
    material_tax=Decimal("1.74"),
    client_price=Decimal("354.25"),
    taxable_price=Decimal("32.16"),
)


def test_work_is_priced_as_the_estimate_prices_it_and_says_by_what() -> None:
    (row,) = price_change(rules(), [JOIST], ()).rows
    assert row.rule == (
        "By the terms for changes: work at the prices of the estimate, what is bought by its receipt with "
        "sales tax and 20% on top."
    )
    assert (row.kind, row.price, row.taxable) == ("work", Decimal("354.25"), Decimal("32.16"))
    # 280.00 + 26.80 + 1.74, of which 26.80 + 1.74 are material
    assert (row.hours, row.cost, row.material) == (Decimal("4.00"), Decimal("308.54"), Decimal("28.54"))


@pytest.mark.parametrize(
    ("line", "rule"),
    [
        (
            replace(JOIST, purchase_costs=PurchaseCosts(), material_tax=NO_MONEY),
            "By the terms for changes: work at the prices of the estimate.",
        ),
        (
            replace(JOIST, hours=NO_MONEY, labor_cost=NO_MONEY, material_tax=NO_MONEY),
            "By the terms for changes: what is bought by its receipt and 20% on top.",
        ),
        (PricedLine("8", "work", "Nothing yet", "rough"), ""),
    ],
)
def test_work_names_only_the_rates_that_it_goes_by(line: PricedLine, rule: str) -> None:
    assert price_change(rules(), [line], ()).rows[0].rule == rule


def test_time_and_material_is_limited_by_hours_and_receipts_each_to_the_cent() -> None:
    (row,) = price_change(rules(), [JOIST], (), at_most={"7"}).rows
    # 4 h at 80.00; 28.54 with a fifth on top is 34.248
    assert row.rule == (
        "Time and material, not to exceed $354.25: at most 4 hours at $80.00; what is bought by its receipt "
        "with sales tax and 20% on top, at most $34.25. Billed is what it takes, up to that."
    )
    # 26.80 with a fifth on top is the taxable part
    assert (row.kind, row.price, row.taxable) == ("at_most", Decimal("354.25"), Decimal("32.16"))
    assert (row.hours, row.cost, row.material) == (Decimal("4.00"), Decimal("308.54"), Decimal("28.54"))


def test_time_and_material_names_only_what_it_has() -> None:
    labor = replace(JOIST, purchase_costs=PurchaseCosts(), material_tax=NO_MONEY)
    (row,) = price_change(rules(), [labor], (), at_most={"7"}).rows
    assert "$320.00: at most 4 hours at $80.00. Billed" in row.rule
    bought = replace(JOIST, hours=NO_MONEY, labor_cost=NO_MONEY)
    (row,) = price_change(rules(), [bought], (), at_most={"7"}).rows
    assert row.rule.startswith("Time and material, not to exceed $34.25: what is bought by its receipt")


def test_only_the_lines_named_are_time_and_material() -> None:
    other = replace(JOIST, key="9")
    priced = price_change(rules(), [JOIST, other], (), at_most={"9"})
    assert [row.kind for row in priced.rows] == ["work", "at_most"]


@pytest.mark.parametrize(
    ("price", "kind", "total"), [("0.00", "agreed", "45.00"), ("-0.01", "credit", "-0.01")]
)
def test_work_at_no_price_is_work_and_below_zero_a_credit(price: str, kind: str, total: str) -> None:
    line = LumpSumLine("a", "Fan", Decimal(1), "", Decimal(price))
    priced = price_change(rules(fee=Decimal("45.00")), (), [line])
    assert (priced.rows[0].kind, priced.total) == (kind, Decimal(total))


@pytest.mark.parametrize(
    ("quantity", "unit", "rule"),
    [("24.00", "sq ft", "24 sq ft at $14.00."), ("1.50", "", "1.5 at $14.00.")],
)
def test_a_price_a_unit_says_how_much_of_it(quantity: str, unit: str, rule: str) -> None:
    line = LumpSumLine("a", "Subfloor", Decimal(quantity), unit, Decimal("14.00"))
    assert price_change(rules(), (), [line]).rows[0].rule == rule


def test_what_a_change_adds_counts_no_credit() -> None:
    fan = LumpSumLine("a", "Fan", Decimal(1), "", Decimal("60.00"))
    cent = LumpSumLine("c", "A cent", Decimal(1), "", Decimal("0.01"))
    priced = price_change(rules(), (), [fan, cent, DeletedWork("t", TILE)])
    assert (priced.added, priced.total) == (Decimal("60.01"), Decimal("-3075.49"))


@pytest.mark.parametrize(
    ("price", "fee", "missing"),
    [
        ("155.00", "45.00", None),
        ("154.99", "45.00", "0.01"),
        ("199.00", "0.00", "1.00"),
        ("200.01", "0.00", None),
    ],
)
def test_a_least_charge_adds_what_work_and_fee_leave_missing(
    price: str, fee: str, missing: str | None
) -> None:
    of = rules(fee=Decimal(fee), minimum=Decimal("200.00"))
    rows = price_change(of, (), [LumpSumLine("a", "Fan", Decimal(1), "", Decimal(price))]).rows
    assert [f"{row.price}" for row in rows if row.kind == "minimum"] == ([missing] if missing else [])
    assert [f"{row.price}" for row in rows if row.kind == "fee"] == ([fee] if fee != "0.00" else [])


def test_an_error_of_ours_carries_neither_fee_nor_least_charge() -> None:
    of = rules(fee=Decimal("45.00"), minimum=Decimal("500.00"))
    fan = LumpSumLine("a", "Fan", Decimal(1), "", Decimal("60.00"))
    assert price_change(of, (), [fan], our_error=True).total == Decimal("60.00")


def test_a_choice_says_how_its_difference_came_about() -> None:
    (row,) = price_change(rules(), (), [choice("6780.00")]).rows
    assert row.rule == (
        "Chosen $6,780.00 and sales tax $440.70; the allowance with its tax is $6,816.00. The difference is "
        "$404.70, and 20% of it $80.94."
    )
    assert (row.price, row.taxable, row.cost) == (Decimal("485.64"), Decimal("485.64"), Decimal("7220.70"))


def test_a_choice_against_a_price_of_the_client_says_so_and_that_it_came_late() -> None:
    late = replace(
        choice("6400.00", at_cost=False, amount=Decimal("8000.00")), late="The day to choose by is past."
    )
    (row,) = price_change(rules(tax_policy="none"), (), [late]).rows
    assert row.rule == (
        "Chosen $6,400.00, and 20% of that $1,280.00, against an allowance of $8,000.00. "
        "The day to choose by is past."
    )
    assert row.price == Decimal("-320.00")


@pytest.mark.parametrize(
    ("tax_policy", "amounts", "price"),
    [
        ("consumer", "Material $126.00, sales tax $8.19, markup $26.84", "-161.03"),
        ("none", "Material $126.00, markup $25.20", "-151.20"),
    ],
)
def test_material_that_the_client_brings_says_what_is_credited(
    tax_policy: str, amounts: str, price: str
) -> None:
    brought = OwnerFurnished("b", "Tile", TILE, Decimal("126.00"))
    (row,) = price_change(rules(tax_policy=tax_policy), (), [brought]).rows
    assert row.rule == f"{amounts}, as estimate 1001 holds them. The work on it stays."
    assert (row.price, row.taxable) == (Decimal(price), Decimal(price))


@pytest.mark.parametrize(("least", "words"), [("0", ""), ("8", "at least 8 sq ft, ")])
def test_what_was_found_says_its_signed_price_and_limits(least: str, words: str) -> None:
    found = UnitPriceLine("line-1", replace(ROTTEN_SUBFLOOR, least=Decimal(least)), Decimal(10))
    (row,) = price_change(rules(), (), [found]).rows
    assert row.rule == f"10 sq ft at $14.00 a sq ft, as signed in estimate 1001 for {words}up to 64 sq ft."
    # 10 at 14.00, of which 10 at 2.00 are taxable
    assert (row.kind, row.price, row.taxable) == ("found", Decimal("140.00"), Decimal("20.00"))


def test_an_option_after_the_signing_goes_by_its_signed_price() -> None:
    option = replace(
        ROTTEN_SUBFLOOR, kind="option", unit="each", hours=Decimal("6.00"), cost=Decimal("420.00")
    )
    (row,) = price_change(rules(), (), [UnitPriceLine("line-1", option)]).rows
    assert row.rule == "By its price in estimate 1001."
    assert (row.kind, row.price, row.hours, row.cost, row.quantity) == (
        "option",
        Decimal("14.00"),
        Decimal("6.00"),
        Decimal("420.00"),
        Decimal(1),
    )


def test_a_credit_given_is_no_work_and_carries_no_fee() -> None:
    given = LumpSumLine("g", "For the trouble", Decimal(1), "", Decimal("-100.00"))
    (row,) = price_change(rules(fee=Decimal("45.00")), (), [given]).rows
    assert (row.kind, row.price) == ("credit", Decimal("-100.00"))


def test_a_change_that_takes_out_alone_carries_no_fee_and_no_least_charge() -> None:
    of = rules(fee=Decimal("45.00"), minimum=Decimal("500.00"))
    assert total(of, DeletedWork("t", TILE)) == Decimal("-3135.50")


@given(quantity=st.decimals("0.01", "9999", places=2), price=cents, cost=cents, keeps=st.integers(0, 100))
def test_the_rows_and_the_tax_are_the_change(
    quantity: Decimal, price: Decimal, cost: Decimal, keeps: int
) -> None:
    for policy in ("consumer", "materials", "everything", "none"):
        of = rules(tax_policy=policy, keeps=Fraction(keeps, 100), fee=Decimal("45.00"))
        parts = (
            LumpSumLine("a", "Fan", quantity, "days", price),
            choice(f"{cost}"),
            DeletedWork("t", TILE),
            OwnerFurnished("b", "Tile", TILE, cost),
        )
        priced = price_change(of, (), parts)
        assert sum(row.price for row in priced.rows) + priced.tax == priced.total
        assert all(row.price == round(row.price, 2) for row in priced.rows)
        assert all(row.rule for row in priced.rows)


@given(cost=cents)
def test_a_dearer_choice_never_costs_less(cost: Decimal) -> None:
    more = f"{cost + Decimal('0.01')}"
    assert total(rules(), choice(more)) >= total(rules(), choice(f"{cost}"))


@given(cost=cents)
def test_material_brought_is_credited_at_what_it_was_priced_at(cost: Decimal) -> None:
    tax = (cost * Decimal("0.065")).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    markup = ((cost + tax) * Decimal("0.2")).quantize(Decimal("0.01"), "ROUND_HALF_UP")
    assert total(rules(), OwnerFurnished("b", "Tile", TILE, cost)) == -(cost + tax + markup)


def signed_basis(document: int, *lines: Mapping[str, object], **basis: Any) -> SignedBasis:
    full = [{"price": "0.00", "taxable": "0.00", "title": "x", **line} for line in lines]
    return SignedBasis(document, f"Paper {document}", {"lines": full, **basis})


def test_options_taken_are_lines_of_the_contract_and_others_are_not() -> None:
    options = [
        {"key": f"{n}", "kind": "option", "title": f"Option {n}", "price": "5.00", "taxable": "0.00"}
        for n in range(3)
    ]
    signed = replace(signed_basis(1, {"key": "9", "kind": "work"}, options=options), options_chosen=[2, 0])
    assert [line.title for line in contract_lines([signed])] == ["x", "Option 0", "Option 2"]


def test_trips_and_contingency_are_no_work_that_could_be_taken_out() -> None:
    kinds = ("credit", "trips", "contingency", "minimum", "fee", "brought", "taken_out", "choice")
    assert contract_lines([signed_basis(1, *({"key": kind, "kind": kind} for kind in kinds))]) == ()


def test_work_that_a_signed_change_added_can_be_taken_out_later() -> None:
    first = signed_basis(1, {"key": "1", "kind": "work", "price": "100.00"})
    change = signed_basis(2, {"key": "5", "kind": "at_most", "price": "354.25"})
    taken = {
        "key": "line-1",
        "kind": "taken_out",
        "price": "-354.25",
        "refers_document": 2,
        "refers_key": "5",
    }
    lines = contract_lines([first, change, signed_basis(3, taken)])
    assert [(line.left, line.settled) for line in lines] == [
        (Decimal("100.00"), False),
        (Decimal("0.00"), True),
    ]


def test_a_settled_allowance_keeps_its_price_and_is_settled() -> None:
    held = {"key": "allowance-1", "kind": "allowance", "price": "8179.20"}
    met = {
        "key": "line-1",
        "kind": "choice",
        "price": "485.64",
        "refers_document": 1,
        "refers_key": "allowance-1",
    }
    kept = {"key": "allowance-1", "amount": "6400.00", "at_cost": True, "covers_tax": True}
    bases = [signed_basis(1, held, allowances=[kept]), signed_basis(2, met)]
    (cabinets,) = contract_allowances(bases, contract_lines(bases))
    assert (cabinets.line.left, cabinets.line.settled) == (Decimal("8179.20"), True)


def test_an_estimate_without_terms_for_changes_goes_by_its_markup_on_material() -> None:
    policy = {
        "tax_policy": "none",
        "tax_rate": "0/1",
        "labour_rate": "70.00",
        "labour": "20 markup",
        "material": "15 markup",
    }
    assert contract_rules({"policy": policy}).terms == ChangeTerms(markup=Markup(Decimal(15)))


def test_terms_say_only_what_binds() -> None:
    plain = " ".join(terms_in_words(ChangeTerms(), "none"))
    assert "sales tax" not in plain.lower()
    assert "fee" not in plain
    assert "least" not in plain
    full = terms_in_words(
        ChangeTerms(fee=Decimal(45), minimum=Decimal(200), keeps=Fraction(1, 10)), "everything"
    )
    for words in ("less 10% of it", "a fee of $45.00", "at least $200.00", "Sales tax goes with a change"):
        assert words in " ".join(full)


@pytest.mark.parametrize(("share", "words"), [("0.2", "20%"), ("0.125", "12.5%"), ("1/7", "14.29%")])
def test_a_share_reads_as_people_say_it(share: str, words: str) -> None:
    assert share_in_words(Fraction(share)) == words
