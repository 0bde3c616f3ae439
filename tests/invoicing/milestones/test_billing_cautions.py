"""Cautions about deposits, bills that run ahead of the work, and retention, at their boundaries."""

from datetime import date
from decimal import Decimal

from invoicing.milestones.billing_cautions import (
    BillingCaution,
    deposit_cautions,
    front_loading_caution,
    retention_caution,
)
from invoicing.milestones.deposit_rules import DEPOSIT_RULES


def given(caution: BillingCaution | None) -> BillingCaution:
    """The caution, which there is."""
    assert caution
    return caution


def test_a_tenth_of_the_demo_kitchen_breaks_california_s_cap_and_no_third() -> None:
    kitchen, first = Decimal("25211.17"), Decimal("2521.12")
    (caution,) = deposit_cautions(DEPOSIT_RULES["CA"], kitchen, first)
    assert caution.text == (
        "California: a deposit of $2,521.12 is above $1,000.00, the lesser of $1,000.00 and 10% of the "
        "contract (Business and Professions Code 7159.5(a)(3); read 2026-11-25). Check your local law."
    )
    assert caution.at_most == Decimal(1000)
    assert [
        deposit_cautions(DEPOSIT_RULES[state], kitchen, first) for state in ("MA", "ME", "MD", "PA", "TN")
    ] == [()] * 5


def test_a_deposit_at_the_cap_is_not_cautioned() -> None:
    assert deposit_cautions(DEPOSIT_RULES["CA"], Decimal(10000), Decimal("1000.00")) == ()
    assert len(deposit_cautions(DEPOSIT_RULES["CA"], Decimal(10000), Decimal("1000.01"))) == 1


def test_sales_tax_that_is_asked_for_with_a_deposit_counts() -> None:
    asked = DEPOSIT_RULES["CA"], Decimal(24000), Decimal("950.00")
    assert deposit_cautions(*asked, tax=Decimal("50.00")) == ()
    (caution,) = deposit_cautions(*asked, tax=Decimal("50.01"))
    assert "a deposit of $950.00 with $50.01 sales tax is above $1,000.00" in caution.text


def test_maryland_wants_nothing_before_signing() -> None:
    (caution,) = deposit_cautions(DEPOSIT_RULES["MD"], Decimal(18000), Decimal(100), signed=False)
    assert (caution.at_most, "before signing" in caution.text) == (Decimal(0), True)


def test_new_york_wants_a_trust_account() -> None:
    (caution,) = deposit_cautions(DEPOSIT_RULES["NY"], Decimal(18000), Decimal(9000))
    assert "trust account within 5 business days" in caution.text
    assert "as told by others 2026-11-25" in caution.text


def test_california_lets_no_bill_run_ahead_of_the_work() -> None:
    caution = given(front_loading_caution(DEPOSIT_RULES["CA"], Decimal(4200), Decimal(1000), Decimal(5000)))
    assert caution.at_most == Decimal(800)
    assert "bill at most $800.00 now (Business and Professions Code 7159.5(a)(5)" in caution.text
    assert front_loading_caution(DEPOSIT_RULES["CA"], Decimal(4200), Decimal(800), Decimal(5000)) is None


def test_elsewhere_a_bill_ahead_of_the_work_is_common_practice_to_avoid() -> None:
    for rule in (None, DEPOSIT_RULES["TN"]):
        caution = given(front_loading_caution(rule, Decimal(0), Decimal(2), Decimal(1)))
        assert caution.citation == "common practice"
    assert given(front_loading_caution(None, Decimal(9), Decimal(2), Decimal(1))).at_most == 0


def test_california_s_retention_is_five_percent_from_2026() -> None:
    caution = given(retention_caution("CA", date(2026, 1, 1), Decimal(12000)))
    assert caution.at_most == Decimal("600.00")
    assert retention_caution("CA", date(2025, 12, 31), Decimal(12000)) is None
    assert retention_caution("MA", date(2026, 1, 1), Decimal(12000)) is None


def test_the_most_that_is_held_is_rounded_down() -> None:
    """5 % of 1,234.59 is 61.7295."""
    caution = given(retention_caution("CA", date(2026, 1, 1), Decimal("1234.59")))
    assert caution.at_most == Decimal("61.72")


def test_a_bill_ahead_of_the_work_is_named_with_what_was_billed_before() -> None:
    with_bill = given(front_loading_caution(None, Decimal(4200), Decimal(1000), Decimal(5000)))
    assert with_bill.text.startswith("With this bill $5,200.00 is asked for against $5,000.00 of work done")
    without = given(front_loading_caution(None, Decimal(5200), Decimal(0), Decimal(5000)))
    assert without.text.startswith("$5,200.00 is asked for")


def test_what_a_cap_counts_is_said_as_the_rule_says_it() -> None:
    """A third of 18,000.00 is 6,000.00; special orders of 4,000.00 are added in Pennsylvania only."""
    asked = {
        state: deposit_cautions(DEPOSIT_RULES[state], Decimal(18000), Decimal(17000), Decimal(4000))[0].text
        for state in ("MA", "ME", "PA")
    }
    assert "is above $6,000.00, the greater of a third of the contract and material on" in asked["MA"]
    assert "is above $6,000.00, a third of the contract (" in asked["ME"]
    assert "is above $10,000.00, a third of the contract and material on special order" in asked["PA"]
