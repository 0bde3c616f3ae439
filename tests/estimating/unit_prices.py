"""A unit price that was signed for a hidden condition."""

from decimal import Decimal

from estimating.contract.unit_prices import FOUND, UnitPrice

ROTTEN_SUBFLOOR = UnitPrice(
    kind=FOUND,
    document=1,
    key="condition-1",
    title="Rotten subfloor",
    document_name="Estimate 1001",
    unit="sq ft",
    price=Decimal("14.00"),
    taxable=Decimal("2.00"),
    most=Decimal(64),
)
