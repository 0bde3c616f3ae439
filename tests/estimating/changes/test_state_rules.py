"""The rules of states for changes: which state an address names, and the cautions with their citations."""

import pytest

from estimating.changes.state_rules import RULES, change_cautions, state_of


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


@pytest.mark.parametrize(
    ("address", "state"),
    [
        ("PO Box 12, Fennimore Falls, NY 12999\n12 Mill Street\nFennimore Falls, CA 95999", "CA"),
        ("12 Mill Street, Fennimore Falls, Maine, CA 95999", "CA"),
        ("12 Mill Street\nFennimore Falls CA.", "CA"),
        ("CA 95999 12 Mill Street", ""),
        ("12 Mill Street, Mainesville", ""),
    ],
)
def test_the_last_pair_of_letters_at_the_end_of_a_line_is_the_state(address: str, state: str) -> None:
    assert state_of(address) == state


def test_the_state_of_the_job_counts_before_the_one_of_its_address() -> None:
    address = "12 Mill Street\nFennimore Falls, CA 95999"
    (caution,) = change_cautions(address, "PA")
    assert caution.startswith(
        "Pennsylvania: what the contract specifies changes only by a written change order"
    )
    assert caution.endswith("(73 P.S. 517.7(a)(7); read in the text, 2026-11-25). Check your local law.")
    assert "common practice" in change_cautions(address, "TX")[0]


def test_a_rule_that_was_read_elsewhere_than_in_the_law_says_so() -> None:
    (caution,) = change_cautions("", "ME")
    assert "read in another's account, 2026-11-25" in caution


def test_where_no_rule_is_held_that_is_common_practice_and_said_so() -> None:
    (caution,) = change_cautions("12 Mill Street\nFennimore Falls, TX 75999")
    assert "common practice" in caution
    assert "Check your local law." in caution


def test_each_rule_says_where_and_when_it_was_read() -> None:
    for rule in (rule for rules_of_state in RULES.values() for rule in rules_of_state):
        assert rule.address.startswith("https://")
        assert rule.seen.year >= 2026
