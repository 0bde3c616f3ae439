"""Postal addresses read from the lines as they were typed."""

import pytest

from invoicing.einvoice.model import Address
from invoicing.snapshots.postal_address import parse_postal_address


@pytest.mark.parametrize(
    ("lines", "address"),
    [
        (
            ["27 Quarry Road", "Fennimore Falls, NY 00000-1234"],
            Address("27 Quarry Road", "", "Fennimore Falls", "00000-1234", "NY"),
        ),
        (
            ["27 Quarry Road, Unit 2, Fennimore Falls, NY 00000"],
            Address("27 Quarry Road", "Unit 2", "Fennimore Falls", "00000", "NY"),
        ),
        (
            ["27 Quarry Road", "Fennimore Falls NY"],
            Address("27 Quarry Road", "", "Fennimore Falls", "", "NY"),
        ),
        (["27 Quarry Road", "Fennimore Falls"], Address("27 Quarry Road", "Fennimore Falls", region="ME")),
        (
            ["27 Quarry Road", "Fennimore Falls, ZZ"],
            Address("27 Quarry Road", "Fennimore Falls, ZZ", region="ME"),
        ),
        (["NY 00000"], Address("", "", "", "00000", "NY")),
        ([], Address(region="ME")),
    ],
)
def test_an_address_is_split_only_where_it_is_certain(lines: list[str], address: Address) -> None:
    assert parse_postal_address(lines, state="ME") == address
