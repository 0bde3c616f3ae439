"""Nothing is billed twice, and no number is left out, when several bill at the same moment."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.django_db(transaction=True)


def test_one_milestone_billed_by_two_and_by_sixteen_at_once_is_one_invoice_without_a_gap(
    in_processes: Callable[[str, str], Any],
) -> None:
    left = in_processes("tests.invoicing.billing_process", "race")
    # 30 % of 196.80, twice; the first taken back; then it is billed again with the last 78.72.
    assert (left["two"]["bills"], left["two"]["totals"]) == (["Invoice INV-1001"], ["59.04"])
    assert (left["sixteen"]["bills"], left["sixteen"]["billed"]) == (
        ["Invoice INV-1001", "Invoice INV-1002"],
        "118.08",
    )
    assert (left["credited"]["bills"], left["credited"]["billed"]) == (
        ["Invoice INV-1001", "Invoice INV-1002", "Credit note CR-1"],
        "59.04",
    )
    assert left["all"]["bills"][-1] == "Invoice INV-1003"
    assert (left["all"]["billed"], left["all"]["places"]) == ("196.80", [1, 2, 3, 4])
    assert [left[step]["faults"] for step in left] == [[], [], [], []]
