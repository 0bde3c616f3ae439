"""Where a client pays: what can be an address, and what is filled in. Addresses are those of RFC 3986."""

from decimal import Decimal
from urllib.parse import parse_qs, urlsplit

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalog.money.pay_link import bank_lines, fill_pay_link, pay_link_fault

TEMPLATE = "https://pay.example.com/you?sum={amount}&ref={number}"


@pytest.mark.parametrize(
    "template", [TEMPLATE, "https://pay.example.com:8443/{number}/{amount}", "https://pay.example.com"]
)
def test_a_whole_address_with_or_without_places_is_taken(template: str) -> None:
    assert pay_link_fault(template) == ""


@pytest.mark.parametrize(
    ("template", "sentence"),
    [
        ("http://pay.example.com/{amount}", "beginning with https://"),
        ("pay.example.com", "beginning with https://"),
        ("javascript:alert({amount})", "beginning with https://"),
        ("https:///you", "name of the site"),
        ("https://[pay/", "name of the site"),
        ("https://pay.example.com:port/", "name of the site"),
        ("https://{number}.example.com/", "not in it"),
        ("https://pay.example.com@other.example.com/", "before the @"),
        ("https://pay.example.com/{sum}", "{sum} isn't filled in"),
        ("https://pay.example.com/{amount", "Braces stand around"),
        ('https://pay.example.com/"{amount}"', "no quotes"),
        ("https://pay.example.com/a b", "Leave out spaces"),
        ("https://pay.exämple.com/", "letters that an address can't hold"),
    ],
)
def test_what_is_no_safe_address_is_refused_with_what_would_be_right(template: str, sentence: str) -> None:
    assert sentence in pay_link_fault(template)


@given(st.decimals("0.01", "9999999", places=2), st.text(min_size=1, max_size=20))
def test_the_site_reads_the_very_amount_and_number_that_were_billed(amount: Decimal, number: str) -> None:
    address = urlsplit(fill_pay_link(TEMPLATE, amount, number))
    assert address.hostname == "pay.example.com"
    assert parse_qs(address.query, keep_blank_values=True) == {"sum": [f"{amount}"], "ref": [number]}


def test_bank_details_are_labels_with_values_to_copy() -> None:
    details = "First Example Bank\n\nRouting number: 000 000 000\n Account : 12:34 "
    assert bank_lines(details) == [
        ("Bank", "First Example Bank"),
        ("Routing number", "000 000 000"),
        ("Account", "12:34"),
    ]
