"""Writes an invoice in the UBL 2.1 syntax of EN 16931."""

from decimal import Decimal
from xml.etree.ElementTree import Element

from estimating.plain_text import money
from invoicing.einvoice.cii import GUIDELINE
from invoicing.einvoice.faults import refuse_faults
from invoicing.einvoice.model import (
    Address,
    Adjustment,
    EInvoice,
    InvoiceLine,
    InvoiceTotals,
    Tax,
    TaxCategory,
    TradeParty,
    invoice_totals,
)
from invoicing.einvoice.xml import add, add_if_given, number, to_bytes

_UBL = "urn:oasis:names:specification:ubl:schema:xsd"


def write_ubl(invoice: EInvoice) -> bytes:
    """Return an invoice or credit note as a UBL document. Raises UnfitInvoice when it has faults."""
    refuse_faults(invoice)
    kind = "CreditNote" if invoice.is_credit else "Invoice"
    root = Element(
        kind,
        {
            "xmlns": f"{_UBL}:{kind}-2",
            "xmlns:cac": f"{_UBL}:CommonAggregateComponents-2",
            "xmlns:cbc": f"{_UBL}:CommonBasicComponents-2",
        },
    )
    _header(root, kind, invoice)
    _party(add(root, "cac:AccountingSupplierParty/cac:Party"), invoice.seller)
    _party(add(root, "cac:AccountingCustomerParty/cac:Party"), invoice.buyer)
    _delivery(root, invoice)
    _payment(root, invoice)
    for adjustment in invoice.adjustments:
        _adjustment(root, adjustment, invoice.currency)
    totals = invoice_totals(invoice)
    _taxes(root, invoice.currency, totals)
    _monetary_total(root, invoice.currency, totals)
    for line_number, line in enumerate(invoice.lines, start=1):
        _line(root, str(line_number), line, invoice)
    return to_bytes(root)


def _header(root: Element, kind: str, invoice: EInvoice) -> None:
    add(root, "cbc:CustomizationID", GUIDELINE)
    add(root, "cbc:ID", invoice.number)
    add(root, "cbc:IssueDate", invoice.issued.isoformat())
    if invoice.due and not invoice.is_credit:
        add(root, "cbc:DueDate", invoice.due.isoformat())
    add(root, f"cbc:{kind}TypeCode", "381" if invoice.is_credit else "380")
    add_if_given(root, "cbc:Note", invoice.note)
    add(root, "cbc:DocumentCurrencyCode", invoice.currency)
    if invoice.corrects:
        reference = add(root, "cac:BillingReference/cac:InvoiceDocumentReference")
        add(reference, "cbc:ID", invoice.corrects.number)
        add(reference, "cbc:IssueDate", invoice.corrects.issued.isoformat())
    add_if_given(root, "cac:ContractDocumentReference/cbc:ID", invoice.contract)


def _party(element: Element, party: TradeParty) -> None:
    add_if_given(element, "cbc:EndpointID", party.email, schemeID="EM")
    _address(element, "cac:PostalAddress", party.address)
    if party.tax_id:
        scheme = add(element, "cac:PartyTaxScheme")
        add(scheme, "cbc:CompanyID", party.tax_id)
        add(scheme, "cac:TaxScheme/cbc:ID", "TAX")  # any scheme but VAT is BT-32
    legal = add(element, "cac:PartyLegalEntity")
    add(legal, "cbc:RegistrationName", party.name)
    add_if_given(legal, "cbc:CompanyID", party.legal_id)
    if party.contact or party.phone:
        contact = add(element, "cac:Contact")
        add_if_given(contact, "cbc:Name", party.contact)
        add_if_given(contact, "cbc:Telephone", party.phone)
        add_if_given(contact, "cbc:ElectronicMail", party.email)


def _address(element: Element, path: str, address: Address) -> None:
    postal = add(element, path)
    add_if_given(postal, "cbc:StreetName", address.line)
    add_if_given(postal, "cbc:AdditionalStreetName", address.second_line)
    add_if_given(postal, "cbc:CityName", address.city)
    add_if_given(postal, "cbc:PostalZone", address.postcode)
    add_if_given(postal, "cbc:CountrySubentity", address.region)
    add(postal, "cac:Country/cbc:IdentificationCode", address.country)


def _delivery(root: Element, invoice: EInvoice) -> None:
    delivery = add(root, "cac:Delivery")
    if invoice.finished:
        add(delivery, "cbc:ActualDeliveryDate", invoice.finished.isoformat())
    _address(delivery, "cac:DeliveryLocation/cac:Address", invoice.site or invoice.buyer.address)


def _payment(root: Element, invoice: EInvoice) -> None:
    if means := invoice.pay_by:
        element = add(root, "cac:PaymentMeans")
        names = {"name": means.text} if means.text else {}
        add(element, "cbc:PaymentMeansCode", means.code, **names)
        if invoice.due and invoice.is_credit:
            add(element, "cbc:PaymentDueDate", invoice.due.isoformat())
        add_if_given(element, "cac:PayeeFinancialAccount/cbc:ID", means.account)
    add_if_given(root, "cac:PaymentTerms/cbc:Note", invoice.terms)


def _adjustment(root: Element, adjustment: Adjustment, currency: str) -> None:
    element = add(root, "cac:AllowanceCharge")
    add(element, "cbc:ChargeIndicator", "true" if adjustment.is_charge else "false")
    add(element, "cbc:AllowanceChargeReason", adjustment.reason)
    _amount(element, "cbc:Amount", adjustment.amount, currency)
    _category(element, "cac:TaxCategory", adjustment.tax)


def _taxes(root: Element, currency: str, totals: InvoiceTotals) -> None:
    element = add(root, "cac:TaxTotal")
    _amount(element, "cbc:TaxAmount", totals.tax, currency)
    for group in totals.groups:
        subtotal = add(element, "cac:TaxSubtotal")
        _amount(subtotal, "cbc:TaxableAmount", group.base, currency)
        _amount(subtotal, "cbc:TaxAmount", group.amount, currency)
        _category(subtotal, "cac:TaxCategory", group.tax, group.tax.reason)


def _monetary_total(root: Element, currency: str, totals: InvoiceTotals) -> None:
    element = add(root, "cac:LegalMonetaryTotal")
    for tag, amount in (
        ("cbc:LineExtensionAmount", totals.lines),
        ("cbc:TaxExclusiveAmount", totals.before_tax),
        ("cbc:TaxInclusiveAmount", totals.with_tax),
        ("cbc:AllowanceTotalAmount", totals.allowances),
        ("cbc:ChargeTotalAmount", totals.charges),
        ("cbc:PrepaidAmount", totals.paid),
        ("cbc:PayableRoundingAmount", totals.rounding),
        ("cbc:PayableAmount", totals.due),
    ):
        _amount(element, tag, amount, currency)


def _line(root: Element, line_id: str, line: InvoiceLine, invoice: EInvoice) -> None:
    tag, verb = ("CreditNoteLine", "Credited") if invoice.is_credit else ("InvoiceLine", "Invoiced")
    element = add(root, f"cac:{tag}")
    add(element, "cbc:ID", line_id)
    add(element, f"cbc:{verb}Quantity", number(line.quantity), unitCode=line.unit)
    _amount(element, "cbc:LineExtensionAmount", line.amount, invoice.currency)
    item = add(element, "cac:Item")
    add_if_given(item, "cbc:Description", line.description)
    add(item, "cbc:Name", line.name)
    _category(item, "cac:ClassifiedTaxCategory", line.tax)
    add(element, "cac:Price/cbc:PriceAmount", number(line.price), currencyID=invoice.currency)


def _category(element: Element, path: str, tax: Tax, reason: str = "") -> None:
    category = add(element, path)
    add(category, "cbc:ID", tax.category.value)
    if tax.category != TaxCategory.OUTSIDE:
        add(category, "cbc:Percent", number(tax.percent))
    add_if_given(category, "cbc:TaxExemptionReason", reason)
    add(category, "cac:TaxScheme/cbc:ID", "VAT")


def _amount(element: Element, path: str, amount: Decimal, currency: str) -> None:
    add(element, path, money(amount), currencyID=currency)
