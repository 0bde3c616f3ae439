"""Deposit caps by state at their boundaries, under the rules that the module cites."""

from datetime import date
from decimal import Decimal

import pytest

from invoicing.milestones.deposit_rules import DEPOSIT_RULES, DepositRule, deposit_cap


def cap(state: str, contract: str, special_order: str = "0") -> str | None:
    most = deposit_cap(DEPOSIT_RULES[state], Decimal(contract), Decimal(special_order))
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


@pytest.mark.parametrize("rule", DEPOSIT_RULES.values(), ids=DEPOSIT_RULES)
def test_every_rule_says_where_and_when_it_was_read(rule: DepositRule) -> None:
    assert rule.citation
    assert rule.url.startswith("https://")
    assert rule.read_on == date(2026, 11, 25)
