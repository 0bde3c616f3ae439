"""The arithmetic of a change: by the signed terms, to the cent, whatever its parts."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.markup import Markup
from estimating.changes.price import AgreedPrice, BroughtByClient, Choice, TakenOut, price_change
from estimating.changes.state_rules import RULES, change_cautions, state_of
from estimating.contract.lines import (
    ContractAllowance,
    ContractLine,
    ContractRules,
    SignedPaper,
    contract_allowances,
    contract_lines,
    contract_rules,
)
from estimating.pricing.change_terms import ChangeTerms, share_in_words, terms_in_words

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


def rules(**changed: object) -> ContractRules:
    terms = {name: changed.pop(name) for name in ("fee", "minimum", "keeps", "markup") if name in changed}
    return replace(RULES_SIGNED, terms=replace(RULES_SIGNED.terms, **terms), **changed)


def allowance(**changed: object) -> ContractAllowance:
    given: dict[str, object] = {"amount": Decimal("6400.00"), "at_cost": True, "covers_tax": True}
    return ContractAllowance(CABINETS, **given | changed)


def choice(cost: str, **changed: object) -> Choice:
    return Choice("c", "Oak", allowance(**changed), Decimal(cost))


def total(of: ContractRules, *parts: object) -> Decimal:
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
    parts = (AgreedPrice("a", "Fan", Decimal(1), "", Decimal("60.00")), TakenOut("t", TILE))
    priced = price_change(everything, (), parts)
    # 60.00 - 3,135.50 = -3,075.50; 6.5 % of it is 199.9075
    assert (priced.subtotal, priced.tax) == (Decimal("-3075.50"), Decimal("-199.91"))
    assert priced.total == Decimal("-3275.41")


def test_tax_on_material_goes_with_the_material_that_is_taken_out() -> None:
    priced = price_change(rules(tax_policy="materials"), (), [TakenOut("t", TILE)])
    # 6.5 % of 1,141.32 is 74.1858
    assert priced.tax == Decimal("-74.19")


def test_what_is_kept_of_work_taken_out_is_kept_of_its_tax_too() -> None:
    priced = price_change(rules(tax_policy="materials", keeps=Fraction(1, 2)), (), [TakenOut("t", TILE)])
    assert (priced.subtotal, priced.tax_base) == (Decimal("-1567.75"), Decimal("-570.66"))


def test_a_credit_given_is_no_work_and_carries_no_fee() -> None:
    given = AgreedPrice("g", "For the trouble", Decimal(1), "", Decimal("-100.00"))
    (row,) = price_change(rules(fee=Decimal("45.00")), (), [given]).rows
    assert (row.kind, row.price) == ("credit", Decimal("-100.00"))


def test_a_change_that_takes_out_alone_carries_no_fee_and_no_least_charge() -> None:
    of = rules(fee=Decimal("45.00"), minimum=Decimal("500.00"))
    assert total(of, TakenOut("t", TILE)) == Decimal("-3135.50")


@given(quantity=st.decimals("0.01", "9999", places=2), price=cents, cost=cents, keeps=st.integers(0, 100))
def test_the_rows_and_the_tax_are_the_change(
    quantity: Decimal, price: Decimal, cost: Decimal, keeps: int
) -> None:
    for policy in ("consumer", "materials", "everything", "none"):
        of = rules(tax_policy=policy, keeps=Fraction(keeps, 100), fee=Decimal("45.00"))
        parts = (
            AgreedPrice("a", "Fan", quantity, "days", price),
            choice(f"{cost}"),
            TakenOut("t", TILE),
            BroughtByClient("b", "Tile", TILE, cost),
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
    assert total(rules(), BroughtByClient("b", "Tile", TILE, cost)) == -(cost + tax + markup)


def paper(document: int, *lines: dict[str, object], **basis: object) -> SignedPaper:
    full = [{"price": "0.00", "taxable": "0.00", "title": "x", **line} for line in lines]
    return SignedPaper(document, f"Paper {document}", {"lines": full, **basis})


def test_options_taken_are_lines_of_the_contract_and_others_are_not() -> None:
    options = [
        {"key": f"{n}", "kind": "option", "title": f"Option {n}", "price": "5.00", "taxable": "0.00"}
        for n in range(3)
    ]
    signed = replace(paper(1, {"key": "9", "kind": "work"}, options=options), options_taken=[2, 0])
    assert [line.title for line in contract_lines([signed])] == ["x", "Option 0", "Option 2"]


def test_trips_and_contingency_are_no_work_that_could_be_taken_out() -> None:
    kinds = ("credit", "trips", "contingency", "minimum", "fee", "brought", "taken_out", "choice")
    assert contract_lines([paper(1, *({"key": kind, "kind": kind} for kind in kinds))]) == ()


def test_work_that_a_signed_change_added_can_be_taken_out_later() -> None:
    first = paper(1, {"key": "1", "kind": "work", "price": "100.00"})
    change = paper(2, {"key": "5", "kind": "at_most", "price": "354.25"})
    taken = {
        "key": "line-1",
        "kind": "taken_out",
        "price": "-354.25",
        "refers_document": 2,
        "refers_key": "5",
    }
    lines = contract_lines([first, change, paper(3, taken)])
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
    papers = [paper(1, held, allowances=[kept]), paper(2, met)]
    (one,) = contract_allowances(papers, contract_lines(papers))
    assert (one.line.left, one.line.settled) == (Decimal("8179.20"), True)


def test_an_estimate_without_terms_for_changes_goes_by_its_markup_on_material() -> None:
    policy = {
        "tax_policy": "none",
        "tax_rate": "0/1",
        "labor_rate": "70.00",
        "labour": "20 markup",
        "material": "15 markup",
    }
    assert contract_rules({"policy": policy}).terms == ChangeTerms(markup=Markup(Decimal(15)))


@pytest.mark.parametrize(
    ("address", "state"),
    [
        ("418 Larkspur Lane\nFennimore Falls, CA 95999", "CA"),
        ("12 Mill Street, Fennimore Falls, ME", "ME"),
        ("12 Mill Street\nFennimore Falls, Pennsylvania 19999", "PA"),
        ("12 Mill Street\nFennimore Falls, NY 12999-1234", "NY"),
        ("418 Larkspur Lane\nFennimore Falls", ""),
        ("4 Pa Lane", ""),
        ("", ""),
    ],
)
def test_the_state_is_read_from_the_end_of_an_address(address: str, state: str) -> None:
    assert state_of(address) == state


@pytest.mark.parametrize(
    ("state", "citation", "words"),
    [
        ("CA", "7159.6(a)", "progress payments or on the completion date"),
        ("ME", "10 M.R.S. 1486-1488", "previous and the revised price"),
        ("PA", "73 P.S. 517.7(a)(7)", "signed by the owner and the contractor"),
        ("NY", "General Business Law 771(1)", "all amendments must be in writing"),
    ],
)
def test_a_state_s_rule_names_its_citation_and_asks_to_check(state: str, citation: str, words: str) -> None:
    (caution,) = change_cautions(f"12 Mill Street\nFennimore Falls, {state} 12999")
    for part in (citation, words, "Check your local law."):
        assert part in caution


def test_where_no_rule_is_held_that_is_common_practice_and_said_so() -> None:
    (caution,) = change_cautions("12 Mill Street\nFennimore Falls, TX 75999")
    assert "common practice" in caution
    assert "Check your local law." in caution


def test_each_rule_says_where_and_when_it_was_read() -> None:
    for rule in (each for held in RULES.values() for each in held):
        assert rule.address.startswith("https://")
        assert rule.seen.year >= 2026


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
