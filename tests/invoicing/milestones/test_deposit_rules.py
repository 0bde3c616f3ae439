"""Deposit caps by state at their boundaries, and bills that run ahead of the work.

Boundary cases under the rules that `invoicing.milestones.deposit_rules` cites.
"""

from datetime import date
from decimal import Decimal
from fractions import Fraction

import pytest

from invoicing.milestones.deposit_rules import (
    RULES,
    WorkDone,
    deposit_cap,
    deposit_cautions,
    front_loading,
    retention_cap,
    worth_of_work,
)


def cap(state: str, contract: str, special_order: str = "0") -> str | None:
    most = deposit_cap(RULES[state], Decimal(contract), Decimal(special_order))
    return most if most is None else str(most)


@pytest.mark.parametrize(
    ("state", "contract", "special_order", "most"),
    [
        ("CA", "8000", "0", "800.00"),
        ("CA", "10000", "0", "1000.00"),
        ("CA", "25000", "0", "1000.00"),
        ("CA", "25000", "9000", "1000.00"),
        ("CA", "99.99", "0", "9.99"),
        ("MA", "18000", "4000", "6000.00"),
        ("MA", "18000", "9000", "9000.00"),
        ("MA", "1000", "0", None),
        ("MA", "1000.01", "0", "333.33"),
        ("PA", "18000", "4000", "10000.00"),
        ("PA", "5000", "0", None),
        ("ME", "18000", "4000", "6000.00"),
        ("ME", "3000", "0", None),
        ("MD", "18000", "4000", "6000.00"),
        ("TN", "20000", "0", "6666.66"),
        ("NY", "18000", "0", None),
    ],
)
def test_the_cap_of_each_state(state: str, contract: str, special_order: str, most: str | None) -> None:
    assert cap(state, contract, special_order) == most


def test_a_tenth_of_the_demo_kitchen_breaks_california_s_cap_and_no_third() -> None:
    kitchen, first = Decimal("25211.17"), Decimal("2521.12")
    (caution,) = deposit_cautions(RULES["CA"], kitchen, first)
    assert caution.text == (
        "California: a deposit of $2,521.12 is above $1,000.00, the lesser of $1,000.00 and 10% of the "
        "contract (Business and Professions Code 7159.5(a)(3); read 2026-11-25). Check your local law."
    )
    assert caution.at_most == Decimal(1000)
    assert [deposit_cautions(RULES[state], kitchen, first) for state in ("MA", "ME", "MD", "PA", "TN")] == [
        ()
    ] * 5


def test_a_deposit_at_the_cap_is_not_cautioned() -> None:
    assert deposit_cautions(RULES["CA"], Decimal(10000), Decimal("1000.00")) == ()
    assert len(deposit_cautions(RULES["CA"], Decimal(10000), Decimal("1000.01"))) == 1


def test_sales_tax_that_is_asked_for_with_a_deposit_counts() -> None:
    asked = RULES["CA"], Decimal(24000), Decimal("950.00")
    assert deposit_cautions(*asked, tax=Decimal("50.00")) == ()
    (caution,) = deposit_cautions(*asked, tax=Decimal("50.01"))
    assert "a deposit of $950.00 with $50.01 sales tax is above $1,000.00" in caution.text


def test_maryland_wants_nothing_before_signing() -> None:
    (caution,) = deposit_cautions(RULES["MD"], Decimal(18000), Decimal(100), signed=False)
    assert (caution.at_most, "before signing" in caution.text) == (0, True)


def test_new_york_wants_a_trust_account() -> None:
    (caution,) = deposit_cautions(RULES["NY"], Decimal(18000), Decimal(9000))
    assert "trust account within 5 business days" in caution.text
    assert "as told by others 2026-11-25" in caution.text


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_rule_says_where_and_when_it_was_read(rule: object) -> None:
    assert rule.citation
    assert rule.address.startswith("https://")
    assert rule.seen == date(2026, 11, 25)


def test_california_lets_no_bill_run_ahead_of_the_work() -> None:
    caution = front_loading(RULES["CA"], Decimal(4200), Decimal(1000), Decimal(5000))
    assert caution.at_most == Decimal(800)
    assert "bill at most $800.00 now (Business and Professions Code 7159.5(a)(5)" in caution.text
    assert front_loading(RULES["CA"], Decimal(4200), Decimal(800), Decimal(5000)) is None


def test_elsewhere_a_bill_ahead_of_the_work_is_common_practice_to_avoid() -> None:
    for rule in (None, RULES["TN"]):
        assert front_loading(rule, Decimal(0), Decimal(2), Decimal(1)).citation == "common practice"
    assert front_loading(None, Decimal(9), Decimal(2), Decimal(1)).at_most == 0


def test_work_is_worth_its_share_of_hours() -> None:
    works = [WorkDone(Fraction(3), True), WorkDone(Fraction(7), False)]
    assert worth_of_work(Decimal("1000.05"), works) == Decimal("300.02")
    assert worth_of_work(Decimal(1000), []) == 0


def test_california_s_retention_is_five_percent_from_2026() -> None:
    caution = retention_cap("CA", date(2026, 1, 1), Decimal(12000))
    assert caution.at_most == Decimal("600.00")
    assert retention_cap("CA", date(2025, 12, 31), Decimal(12000)) is None
    assert retention_cap("MA", date(2026, 1, 1), Decimal(12000)) is None
