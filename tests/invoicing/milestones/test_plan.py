"""Milestones sum to the contract sum, however they are agreed and whatever changes are signed."""

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from invoicing.milestones.plan import (
    ChangePart,
    MilestoneTerm,
    Plan,
    PlanFault,
    draw_plan,
    milestone_amounts,
    sum_money,
)
from tests.invoicing.kitchen import (
    ROT,
    SIGNED,
    TERMS,
    changed_plan,
    kitchen_plan,
)


def amounts(plan: Plan) -> list[str]:
    return [str(plan.amount(milestone.key)) for milestone in plan.milestones]


def shares(*percents: int) -> list[MilestoneTerm]:
    return [
        MilestoneTerm(str(n), f"M{n}", "Seen", Fraction(percent, 100)) for n, percent in enumerate(percents)
    ]


def balance(key: str = "rest") -> MilestoneTerm:
    return MilestoneTerm(key, "The rest", "List signed off")


def fixed(key: str, amount: str) -> MilestoneTerm:
    return MilestoneTerm(key, f"Draw {key}", "Seen", amount=Decimal(amount))


def plan_of(*parts: str) -> Plan:
    return draw_plan(sum_money(map(Decimal, parts)), [fixed(str(n), part) for n, part in enumerate(parts)])


def test_the_demo_kitchen_splits_to_the_cent() -> None:
    assert amounts(kitchen_plan()) == ["2521.12", "7563.35", "5042.23", "7563.35", "2521.12"]


def test_signed_changes_raise_the_milestones_that_they_are_billed_with() -> None:
    plan = changed_plan()
    assert amounts(plan) == ["2521.12", "7563.35", "5792.48", "8048.99", "2521.12"]
    assert plan.contract_sum == Decimal("26447.06")


def test_the_last_of_three_equal_draws_takes_the_cent() -> None:
    terms = [MilestoneTerm(key, key, "Seen", Fraction(1, 3)) for key in "abc"]
    assert milestone_amounts(Decimal("100.00"), terms) == list(map(Decimal, ("33.33", "33.33", "33.34")))


def test_the_balance_takes_what_shares_and_amounts_leave() -> None:
    terms = [fixed("deposit", "1000"), *shares(30, 30), balance()]
    assert list(map(str, milestone_amounts(Decimal("20000.00"), terms))) == [
        "1000",
        "6000.00",
        "6000.00",
        "7000.00",
    ]


@pytest.mark.parametrize(
    ("terms", "fault"),
    [
        ([], "at least one"),
        (shares(50, 40), "shares come to 90.00 %"),
        (shares(50, 60), "shares come to 110.00 %"),
        ([fixed("a", "60"), fixed("b", "39.99")], r"amounts come to \$99.99"),
        ([fixed("a", "60"), *shares(10)], "one milestone the balance"),
        ([balance("a"), balance("b")], "Only one"),
        ([fixed("a", "100.01"), balance()], "more than"),
        ([fixed("a", "-1"), balance()], "below zero"),
        ([balance(), balance()], "same key|Only one"),
        ([MilestoneTerm("a", "A", "Seen", Fraction(1), Decimal(100))], "keep one"),
    ],
)
def test_terms_that_cannot_sum_to_the_contract_are_refused(terms: list[MilestoneTerm], fault: str) -> None:
    with pytest.raises(PlanFault, match=fault):
        milestone_amounts(Decimal("100.00"), terms)


def test_a_plan_that_is_a_cent_off_is_refused() -> None:
    plan = kitchen_plan()
    first = replace(plan.milestones[0], base=Decimal("2521.11"))
    with pytest.raises(PlanFault, match=r"25,211\.16"):
        replace(plan, milestones=(first, *plan.milestones[1:]))


def test_a_signed_change_without_a_place_is_refused() -> None:
    with pytest.raises(PlanFault, match="has a place"):
        replace(kitchen_plan(), changes=(ROT,))


def test_the_deposit_is_known_whichever_way_it_is_asked() -> None:
    first = [replace(TERMS[0], is_deposit=True), *TERMS[1:]]
    assert draw_plan(SIGNED, first).deposit_asked == Decimal("2521.12")
    assert kitchen_plan(deposit=Decimal("1000.00")).deposit_asked == Decimal(1000)


def test_a_first_milestone_asks_for_all_of_it_and_nothing_is_held() -> None:
    """A tenth of $1,000.00, of which $400.00 is taxed, with 5 % held; or $200.00 taken off later."""
    first = [
        MilestoneTerm("D", "Deposit", "Signed", Fraction(1, 10), is_deposit=True),
        MilestoneTerm("R", "Rest", "Done"),
    ]
    plan = draw_plan(Decimal(1000), first, Decimal(400), Fraction(1, 20))
    assert (plan.deposit_asked, plan.deposit_taxable) == (Decimal("100.00"), Decimal("40.00"))
    later = draw_plan(Decimal(1000), [MilestoneTerm("R", "Rest", "Done")], Decimal(400), deposit=Decimal(200))
    assert (later.deposit_asked, later.deposit_taxable) == (Decimal("200.00"), Decimal("80.00"))


def test_deposit_and_retainage_stay_in_bounds() -> None:
    with pytest.raises(PlanFault, match="deposit"):
        kitchen_plan(deposit=SIGNED + Decimal("0.01"))
    with pytest.raises(PlanFault, match="Retainage"):
        kitchen_plan(retainage=Fraction(1))


cents = st.integers(0, 10_000_000).map(lambda whole: Decimal(whole) / 100)


@given(cents, st.lists(st.integers(1, 50), min_size=1, max_size=8), st.fractions(0, 1))
def test_shares_of_any_sum_add_up_and_are_a_cent_from_exact(
    total: Decimal, weights: list[int], taxed: Fraction
) -> None:
    terms = [
        MilestoneTerm(str(n), str(n), "Seen", Fraction(weight, sum(weights)))
        for n, weight in enumerate(weights)
    ]
    taxable = Decimal(int(taxed * int(total * 100))) / 100
    plan = draw_plan(total, terms, taxable)
    for term, milestone in zip(terms, plan.milestones, strict=True):
        assert term.share is not None
        assert abs(Fraction(milestone.base) - term.share * Fraction(total)) < Fraction(1, 100)
        assert 0 <= milestone.base_taxable <= milestone.base
    assert sum(milestone.base for milestone in plan.milestones) == total
    assert sum(milestone.base_taxable for milestone in plan.milestones) == taxable


@pytest.mark.parametrize("part", [ChangePart("CO-1", "M9", ROT.amount), ChangePart("CO-8", "M3", ROT.amount)])
def test_a_part_names_a_milestone_and_a_change_of_the_plan(part: ChangePart) -> None:
    with pytest.raises(PlanFault):
        replace(kitchen_plan(), changes=(ROT,), parts=(part,))
    placed = ChangePart("CO-1", "M3", ROT.amount)
    nothing = replace(part, amount=Decimal("0.00"))
    with pytest.raises(PlanFault, match="isn't in the plan"):
        replace(kitchen_plan(), changes=(ROT,), parts=(placed, nothing))


def test_what_is_taxed_of_a_deposit_is_rounded_half_up() -> None:
    """A fifth of the 400.03 that are taxed is 80.006."""
    later = draw_plan(
        Decimal(1000), [MilestoneTerm("R", "Rest", "Done")], Decimal("400.03"), deposit=Decimal(200)
    )
    assert later.deposit_taxable == Decimal("80.01")
