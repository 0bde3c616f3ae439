"""Both syntaxes of EN 16931 held to the official schemas and business rules."""

import re
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

import pytest
from lxml import etree

from invoicing.einvoice.cii import write_cii
from invoicing.einvoice.model import invoice_totals
from invoicing.einvoice.ubl import write_ubl
from tests.invoicing.einvoices import ALL, CREDIT_NOTE, ONE_RATE, invoice, line
from tests.invoicing.official_rules import cii_faults, ubl_faults

SYNTAXES = {"CII": (write_cii, cii_faults), "UBL": (write_ubl, ubl_faults)}
both = pytest.mark.parametrize(("write", "faults"), SYNTAXES.values(), ids=SYNTAXES)


@both
@pytest.mark.parametrize("name", ALL)
def test_every_kind_of_invoice_keeps_the_official_rules(
    name: str, write: Callable[..., bytes], faults: Callable[[bytes], list[str]]
) -> None:
    assert faults(write(ALL[name])) == []


def a_cent_more(xml: bytes, tag: str) -> bytes:
    """The document with the amount in its last element of this name a cent too high."""
    match = list(re.finditer(rf"<{tag}[^>]*>(-?[\d.]+)<".encode(), xml))[-1]
    amount = Decimal(match[1].decode()) + Decimal("0.01")
    return xml[: match.start(1)] + str(amount).encode() + xml[match.end(1) :]


@pytest.mark.parametrize(
    ("tag", "rule"),
    [
        ("ram:GrandTotalAmount", "BR-CO-15"),
        ("ram:DuePayableAmount", "BR-CO-16"),
        ("ram:TaxBasisTotalAmount", "BR-CO-13"),
        ("ram:TaxTotalAmount", "BR-CO-14"),
    ],
)
def test_a_cii_total_that_is_a_cent_off_is_caught(tag: str, rule: str) -> None:
    assert any(rule in fault for fault in cii_faults(a_cent_more(write_cii(ONE_RATE), tag)))


@pytest.mark.parametrize(
    ("tag", "rule"),
    [
        ("cbc:TaxInclusiveAmount", "BR-CO-15"),
        ("cbc:PayableAmount", "BR-CO-16"),
        ("cbc:TaxExclusiveAmount", "BR-CO-13"),
    ],
)
def test_a_ubl_total_that_is_a_cent_off_is_caught(tag: str, rule: str) -> None:
    assert rule in ubl_faults(a_cent_more(write_ubl(ONE_RATE), tag))


def test_an_element_that_the_schema_lacks_is_caught() -> None:
    xml = write_cii(ONE_RATE).replace(b"ram:DuePayableAmount", b"ram:Due")
    assert any("}Due': This element is not expected" in fault for fault in cii_faults(xml))


def amounts(xml: bytes, name: str) -> list[str]:
    return [element.text for element in etree.fromstring(xml).iter(f"{{*}}{name}")]


@pytest.mark.parametrize("name", ALL)
def test_both_syntaxes_say_the_same_amounts(name: str) -> None:
    sums = invoice_totals(ALL[name])
    cii, ubl = write_cii(ALL[name]), write_ubl(ALL[name])
    assert amounts(cii, "DuePayableAmount") == amounts(ubl, "PayableAmount") == [str(sums.due)]
    assert amounts(cii, "GrandTotalAmount") == amounts(ubl, "TaxInclusiveAmount") == [str(sums.with_tax)]
    assert amounts(cii, "CalculatedAmount") == [str(group.amount) for group in sums.groups]


def test_the_same_invoice_is_always_the_same_bytes() -> None:
    assert write_cii(ONE_RATE) == write_cii(replace(ONE_RATE))
    assert write_ubl(ONE_RATE) == write_ubl(replace(ONE_RATE))


@both
def test_letters_that_xml_reserves_and_other_scripts_are_kept(
    write: Callable[..., bytes], faults: Callable[[bytes], list[str]]
) -> None:
    name = "Backsplash <tile> & grout, 3/8\N{DOUBLE PRIME} \N{CJK UNIFIED IDEOGRAPH-6F22}"
    xml = write(invoice(line("10.00", name=name)))
    assert name in [element.text for element in etree.fromstring(xml).iter("{*}Name")]
    assert faults(xml) == []


def test_a_credit_note_names_the_invoice_that_it_corrects() -> None:
    for write in (write_cii, write_ubl):
        assert b"I-0002" in write(CREDIT_NOTE)
    assert etree.QName(etree.fromstring(write_ubl(CREDIT_NOTE))).localname == "CreditNote"
    assert amounts(write_cii(CREDIT_NOTE), "TypeCode")[0] == "381"
