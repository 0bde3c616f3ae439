"""Sixteen who save at the same moment make one row, and nobody gets an error page."""

from collections.abc import Callable
from typing import Any

import pytest

pytestmark = pytest.mark.django_db(transaction=True)


def test_sixteen_at_once_make_one_supplier_one_payment_and_one_plan(
    in_processes: Callable[[str, str], Any],
) -> None:
    """One form sent sixteen times; "Paid in full" and a plan drawn from sixteen pages."""
    left = in_processes("tests.saving.saving_process", "race")
    assert left == {"suppliers": 1, "payments": 1, "plans": 1, "statuses": ["302"]}
