"""The invoice in the UBL 2.1 syntax of EN 16931."""

from decimal import Decimal
from xml.etree.ElementTree import Element

from invoicing.einvoice.cii import GUIDELINE
from invoicing.einvoice.faults import refuse_faults
from invoicing.einvoice.model import Address, Category, Invoice, Line, Party, Tax, Totals, totals
from invoicing.einvoice.xml import money, number, put, put_if, written

_UBL = "urn:oasis:names:specification:ubl:schema:xsd"


def write_ubl(invoice: Invoice) -> bytes:
    """The invoice or credit note as a UBL document. Raises UnfitInvoice when it has faults."""
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
    _head(root, kind, invoice)
    _party(put(root, "cac:AccountingSupplierParty/cac:Party"), invoice.seller)
    _party(put(root, "cac:AccountingCustomerParty/cac:Party"), invoice.buyer)
    _delivery(root, invoice)
    _payment(root, invoice)
    sums = totals(invoice)
    for each in invoice.adjustments:
        element = put(root, "cac:AllowanceCharge")
        put(element, "cbc:ChargeIndicator", "true" if each.is_charge else "false")
        put(element, "cbc:AllowanceChargeReason", each.reason)
        _amount(element, "cbc:Amount", each.amount, invoice.currency)
        _category(element, "cac:TaxCategory", each.tax)
    _taxes(root, invoice.currency, sums)
    _sums(root, invoice.currency, sums)
    for place, line in enumerate(invoice.lines, start=1):
        _line(root, str(place), line, invoice)
    return written(root)


def _head(root: Element, kind: str, invoice: Invoice) -> None:
    put(root, "cbc:CustomizationID", GUIDELINE)
    put(root, "cbc:ID", invoice.number)
    put(root, "cbc:IssueDate", invoice.issued.isoformat())
    if invoice.due and not invoice.is_credit:
        put(root, "cbc:DueDate", invoice.due.isoformat())
    put(root, f"cbc:{kind}TypeCode", "381" if invoice.is_credit else "380")
    put_if(root, "cbc:Note", invoice.note)
    put(root, "cbc:DocumentCurrencyCode", invoice.currency)
    if invoice.corrects:
        reference = put(root, "cac:BillingReference/cac:InvoiceDocumentReference")
        put(reference, "cbc:ID", invoice.corrects.number)
        put(reference, "cbc:IssueDate", invoice.corrects.issued.isoformat())
    put_if(root, "cac:ContractDocumentReference/cbc:ID", invoice.contract)


def _party(element: Element, party: Party) -> None:
    put_if(element, "cbc:EndpointID", party.email, schemeID="EM")
    _address(element, "cac:PostalAddress", party.address)
    if party.tax_id:
        scheme = put(element, "cac:PartyTaxScheme")
        put(scheme, "cbc:CompanyID", party.tax_id)
        put(scheme, "cac:TaxScheme/cbc:ID", "TAX")  # any scheme but VAT is BT-32
    legal = put(element, "cac:PartyLegalEntity")
    put(legal, "cbc:RegistrationName", party.name)
    put_if(legal, "cbc:CompanyID", party.legal_id)
    if party.contact or party.phone:
        contact = put(element, "cac:Contact")
        put_if(contact, "cbc:Name", party.contact)
        put_if(contact, "cbc:Telephone", party.phone)
        put_if(contact, "cbc:ElectronicMail", party.email)


def _address(element: Element, path: str, address: Address) -> None:
    postal = put(element, path)
    put_if(postal, "cbc:StreetName", address.line)
    put_if(postal, "cbc:AdditionalStreetName", address.second_line)
    put_if(postal, "cbc:CityName", address.city)
    put_if(postal, "cbc:PostalZone", address.postcode)
    put_if(postal, "cbc:CountrySubentity", address.region)
    put(postal, "cac:Country/cbc:IdentificationCode", address.country)


def _delivery(root: Element, invoice: Invoice) -> None:
    delivery = put(root, "cac:Delivery")
    if invoice.finished:
        put(delivery, "cbc:ActualDeliveryDate", invoice.finished.isoformat())
    _address(delivery, "cac:DeliveryLocation/cac:Address", invoice.site or invoice.buyer.address)


def _payment(root: Element, invoice: Invoice) -> None:
    if means := invoice.pay_by:
        element = put(root, "cac:PaymentMeans")
        names = {"name": means.words} if means.words else {}
        put(element, "cbc:PaymentMeansCode", means.code, **names)
        if invoice.due and invoice.is_credit:
            put(element, "cbc:PaymentDueDate", invoice.due.isoformat())
        put_if(element, "cac:PayeeFinancialAccount/cbc:ID", means.account)
    put_if(root, "cac:PaymentTerms/cbc:Note", invoice.terms)


def _taxes(root: Element, currency: str, sums: Totals) -> None:
    element = put(root, "cac:TaxTotal")
    _amount(element, "cbc:TaxAmount", sums.tax, currency)
    for group in sums.groups:
        subtotal = put(element, "cac:TaxSubtotal")
        _amount(subtotal, "cbc:TaxableAmount", group.base, currency)
        _amount(subtotal, "cbc:TaxAmount", group.amount, currency)
        _category(subtotal, "cac:TaxCategory", group.tax, group.tax.reason)


def _sums(root: Element, currency: str, sums: Totals) -> None:
    element = put(root, "cac:LegalMonetaryTotal")
    for tag, amount in (
        ("cbc:LineExtensionAmount", sums.lines),
        ("cbc:TaxExclusiveAmount", sums.before_tax),
        ("cbc:TaxInclusiveAmount", sums.with_tax),
        ("cbc:AllowanceTotalAmount", sums.allowances),
        ("cbc:ChargeTotalAmount", sums.charges),
        ("cbc:PrepaidAmount", sums.paid),
        ("cbc:PayableRoundingAmount", sums.rounding),
        ("cbc:PayableAmount", sums.due),
    ):
        _amount(element, tag, amount, currency)


def _line(root: Element, place: str, line: Line, invoice: Invoice) -> None:
    kinds = ("CreditNoteLine", "Credited") if invoice.is_credit else ("InvoiceLine", "Invoiced")
    element = put(root, f"cac:{kinds[0]}")
    put(element, "cbc:ID", place)
    put(element, f"cbc:{kinds[1]}Quantity", number(line.quantity), unitCode=line.unit)
    _amount(element, "cbc:LineExtensionAmount", line.amount, invoice.currency)
    item = put(element, "cac:Item")
    put_if(item, "cbc:Description", line.description)
    put(item, "cbc:Name", line.name)
    _category(item, "cac:ClassifiedTaxCategory", line.tax)
    put(element, "cac:Price/cbc:PriceAmount", number(line.price), currencyID=invoice.currency)


def _category(element: Element, path: str, tax: Tax, reason: str = "") -> None:
    category = put(element, path)
    put(category, "cbc:ID", tax.category.value)
    if tax.category != Category.OUTSIDE:
        put(category, "cbc:Percent", number(tax.percent))
    put_if(category, "cbc:TaxExemptionReason", reason)
    put(category, "cac:TaxScheme/cbc:ID", "VAT")


def _amount(element: Element, path: str, amount: Decimal, currency: str) -> None:
    put(element, path, money(amount), currencyID=currency)
