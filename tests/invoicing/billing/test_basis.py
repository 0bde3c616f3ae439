"""What is kept behind an issued bill comes back as it was."""

from datetime import date
from decimal import Decimal

import pytest

from invoicing.billing.basis import BilledSums, read_lines, read_sums, write_basis
from invoicing.billing.lines import BillLine, BillLineKind

LINES = (
    BillLine(BillLineKind.MILESTONE, "Floor set", Decimal("500.00"), Decimal("120.50"), "7"),
    BillLine(BillLineKind.CHANGE, "Sill", Decimal("-20.00"), Decimal("0.00"), "7", "change-3"),
)


@pytest.mark.parametrize("due", [date(2026, 4, 1), None])
def test_lines_and_sums_come_back_as_they_were_written(due: date | None) -> None:
    sums = BilledSums(Decimal("480.00"), Decimal("120.50"), Decimal("9.94"), due, "Invoice INV-1001")
    basis = write_basis(LINES, sums, 3)
    assert (read_lines(basis), read_sums(basis), basis["place"]) == (LINES, sums, 3)
    assert basis["total"] == "489.94"
