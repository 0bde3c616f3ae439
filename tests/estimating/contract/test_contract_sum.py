"""The contract sum: the signed estimate and the signed changes, whatever order they come in."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from estimating.contract.contract_sum import CHANGE_ORDER, ESTIMATE, Settlement, SignedDocument, contract_sum

DAY = date(2026, 12, 7)
amounts = st.decimals("-9999.99", "9999.99", places=2)


def estimate(amount: str) -> SignedDocument:
    return SignedDocument(ESTIMATE, 1001, Decimal(amount), DAY)


def change(number: int, amount: str, about: str = "") -> SignedDocument:
    return SignedDocument(CHANGE_ORDER, number, Decimal(amount), DAY, about)


def test_nothing_signed_is_nothing() -> None:
    assert contract_sum([]).total == Decimal("0.00")


def test_each_step_says_the_sum_before_and_after_it() -> None:
    contract = contract_sum(
        [change(2, "-400.00"), estimate("12000.00"), change(1, "412.50", "Rotten subfloor")]
    )
    sums = [(f"{step.before}", f"{step.after}") for step in contract.steps]
    assert sums == [("0.00", "12000.00"), ("12000.00", "12412.50"), ("12412.50", "12012.50")]
    assert contract.original == Decimal("12000.00")
    assert contract.changes == Decimal("12.50")


def test_work_by_the_hour_counts_at_what_it_came_to_once_it_is_settled() -> None:
    """At most $354.25 with $20.00 of tax; it came to $140.20, and $12.00 of the tax fell away."""
    settled = Settlement(Decimal("354.25"), Decimal("140.20"), Decimal("-12.00"))
    paper = replace(change(1, "374.25", "Joist"), tax=Decimal("20.00"), settlement=settled)
    contract = contract_sum([estimate("12000.00"), paper, change(2, "100.00")])
    assert [f"{step.amount}" for step in contract.steps] == ["12000.00", "374.25", "-226.05", "100.00"]
    assert (contract.total, contract.tax) == (Decimal("12248.20"), Decimal("8.00"))
    assert contract.before_tax == Decimal("12240.20")
    assert contract.steps[2].words == (
        "Change order 1, Joist, by the hour: came to $140.20 of at most $354.25, before tax: -$226.05, "
        "which makes $12,148.20."
    )


def test_the_chain_reads_in_words() -> None:
    contract = contract_sum([estimate("12000.00"), change(1, "412.50", "Rotten subfloor")])
    assert [step.words for step in contract.steps] == [
        "Estimate 1001, signed Mon 7 Dec 2026: $12,000.00.",
        "Change order 1, Rotten subfloor, signed Mon 7 Dec 2026: $412.50, which makes $12,412.50.",
    ]


@pytest.mark.parametrize("papers", [[change(1, "5.00")], [estimate("1.00"), estimate("2.00")]])
def test_a_contract_rests_on_one_signed_estimate(papers: list[SignedDocument]) -> None:
    with pytest.raises(ValueError, match="rests on one signed estimate"):
        contract_sum(papers)


@given(amounts, st.lists(amounts, max_size=8), st.randoms())
def test_any_order_of_signing_gives_one_contract(
    first: Decimal, changes: list[Decimal], chance: Random
) -> None:
    papers = [
        estimate(f"{first}"),
        *(change(number, f"{amount}") for number, amount in enumerate(changes, 1)),
    ]
    shuffled = papers.copy()
    chance.shuffle(shuffled)
    assert contract_sum(shuffled) == contract_sum(papers)
    assert contract_sum(papers).total == first + sum(changes)
