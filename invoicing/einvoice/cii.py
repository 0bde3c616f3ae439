"""Writes an invoice in the CII syntax of EN 16931, which a PDF carries under the name factur-x.xml."""

from datetime import date
from xml.etree.ElementTree import Element

from estimating.plain_text import money
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

GUIDELINE = "urn:cen.eu:en16931:2017"
FILE_NAME = "factur-x.xml"
_UN = "urn:un:unece:uncefact:data:standard"
_NAMESPACES = {
    "xmlns:rsm": f"{_UN}:CrossIndustryInvoice:100",
    "xmlns:ram": f"{_UN}:ReusableAggregateBusinessInformationEntity:100",
    "xmlns:udt": f"{_UN}:UnqualifiedDataType:100",
    "xmlns:qdt": f"{_UN}:QualifiedDataType:100",
}


def write_cii(invoice: EInvoice) -> bytes:
    """Return an invoice or credit note as a CII document. Raises UnfitInvoice when it has faults."""
    refuse_faults(invoice)
    root = Element("rsm:CrossIndustryInvoice", _NAMESPACES)
    context = "rsm:ExchangedDocumentContext/ram:GuidelineSpecifiedDocumentContextParameter/ram:ID"
    add(root, context, GUIDELINE)
    document = add(root, "rsm:ExchangedDocument")
    add(document, "ram:ID", invoice.number)
    add(document, "ram:TypeCode", "381" if invoice.is_credit else "380")
    _date(document, "ram:IssueDateTime", invoice.issued)
    add_if_given(document, "ram:IncludedNote/ram:Content", invoice.note)
    trade = add(root, "rsm:SupplyChainTradeTransaction")
    for line_number, line in enumerate(invoice.lines, start=1):
        _line(trade, str(line_number), line)
    _agreement(trade, invoice)
    _delivery(trade, invoice)
    _settlement(trade, invoice, invoice_totals(invoice))
    return to_bytes(root)


def _line(trade: Element, line_id: str, line: InvoiceLine) -> None:
    item = add(trade, "ram:IncludedSupplyChainTradeLineItem")
    add(item, "ram:AssociatedDocumentLineDocument/ram:LineID", line_id)
    product = add(item, "ram:SpecifiedTradeProduct")
    add(product, "ram:Name", line.name)
    add_if_given(product, "ram:Description", line.description)
    price = "ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice/ram:ChargeAmount"
    add(item, price, number(line.price))
    quantity = "ram:SpecifiedLineTradeDelivery/ram:BilledQuantity"
    add(item, quantity, number(line.quantity), unitCode=line.unit)
    settlement = add(item, "ram:SpecifiedLineTradeSettlement")
    _category(add(settlement, "ram:ApplicableTradeTax"), line.tax)
    summation = "ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount"
    add(settlement, summation, money(line.amount))


def _agreement(trade: Element, invoice: EInvoice) -> None:
    agreement = add(trade, "ram:ApplicableHeaderTradeAgreement")
    _party(add(agreement, "ram:SellerTradeParty"), invoice.seller)
    _party(add(agreement, "ram:BuyerTradeParty"), invoice.buyer)
    add_if_given(agreement, "ram:ContractReferencedDocument/ram:IssuerAssignedID", invoice.contract)


def _party(element: Element, party: TradeParty) -> None:
    add(element, "ram:Name", party.name)
    add_if_given(element, "ram:SpecifiedLegalOrganization/ram:ID", party.legal_id)
    if party.contact or party.phone:
        contact = add(element, "ram:DefinedTradeContact")
        add_if_given(contact, "ram:PersonName", party.contact)
        add_if_given(contact, "ram:TelephoneUniversalCommunication/ram:CompleteNumber", party.phone)
        add_if_given(contact, "ram:EmailURIUniversalCommunication/ram:URIID", party.email)
    _address(element, party.address)
    add_if_given(element, "ram:URIUniversalCommunication/ram:URIID", party.email, schemeID="EM")
    add_if_given(element, "ram:SpecifiedTaxRegistration/ram:ID", party.tax_id, schemeID="FC")


def _address(element: Element, address: Address) -> None:
    postal = add(element, "ram:PostalTradeAddress")
    add_if_given(postal, "ram:PostcodeCode", address.postcode)
    add_if_given(postal, "ram:LineOne", address.line)
    add_if_given(postal, "ram:LineTwo", address.second_line)
    add_if_given(postal, "ram:CityName", address.city)
    add(postal, "ram:CountryID", address.country)
    add_if_given(postal, "ram:CountrySubDivisionName", address.region)


def _delivery(trade: Element, invoice: EInvoice) -> None:
    delivery = add(trade, "ram:ApplicableHeaderTradeDelivery")
    _address(add(delivery, "ram:ShipToTradeParty"), invoice.site or invoice.buyer.address)
    if invoice.finished:
        _date(delivery, "ram:ActualDeliverySupplyChainEvent/ram:OccurrenceDateTime", invoice.finished)


def _settlement(trade: Element, invoice: EInvoice, totals: InvoiceTotals) -> None:
    settlement = add(trade, "ram:ApplicableHeaderTradeSettlement")
    add(settlement, "ram:InvoiceCurrencyCode", invoice.currency)
    if means := invoice.pay_by:
        element = add(settlement, "ram:SpecifiedTradeSettlementPaymentMeans")
        add(element, "ram:TypeCode", means.code)
        add_if_given(element, "ram:Information", means.text)
        add_if_given(element, "ram:PayeePartyCreditorFinancialAccount/ram:ProprietaryID", means.account)
    for group in totals.groups:
        element = add(settlement, "ram:ApplicableTradeTax")
        add(element, "ram:CalculatedAmount", money(group.amount))
        _category(element, group.tax, money(group.base))
    for adjustment in invoice.adjustments:
        _adjustment(settlement, adjustment)
    if invoice.terms or invoice.due:
        terms = add(settlement, "ram:SpecifiedTradePaymentTerms")
        add_if_given(terms, "ram:Description", invoice.terms)
        if invoice.due:
            _date(terms, "ram:DueDateDateTime", invoice.due)
    _summation(settlement, invoice.currency, totals)
    if invoice.corrects:
        reference = add(settlement, "ram:InvoiceReferencedDocument")
        add(reference, "ram:IssuerAssignedID", invoice.corrects.number)
        _date(reference, "ram:FormattedIssueDateTime", invoice.corrects.issued, "qdt")


def _category(element: Element, tax: Tax, base: str = "") -> None:
    """Add category and rate; in the breakdown with base and reason too, in the order of the schema."""
    add(element, "ram:TypeCode", "VAT")
    if base:
        add_if_given(element, "ram:ExemptionReason", tax.reason)
        add(element, "ram:BasisAmount", base)
    add(element, "ram:CategoryCode", tax.category.value)
    if tax.category != TaxCategory.OUTSIDE:
        add(element, "ram:RateApplicablePercent", number(tax.percent))


def _adjustment(settlement: Element, adjustment: Adjustment) -> None:
    element = add(settlement, "ram:SpecifiedTradeAllowanceCharge")
    add(element, "ram:ChargeIndicator/udt:Indicator", "true" if adjustment.is_charge else "false")
    add(element, "ram:ActualAmount", money(adjustment.amount))
    add(element, "ram:Reason", adjustment.reason)
    _category(add(element, "ram:CategoryTradeTax"), adjustment.tax)


def _summation(settlement: Element, currency: str, totals: InvoiceTotals) -> None:
    element = add(settlement, "ram:SpecifiedTradeSettlementHeaderMonetarySummation")
    add(element, "ram:LineTotalAmount", money(totals.lines))
    add(element, "ram:ChargeTotalAmount", money(totals.charges))
    add(element, "ram:AllowanceTotalAmount", money(totals.allowances))
    add(element, "ram:TaxBasisTotalAmount", money(totals.before_tax))
    add(element, "ram:TaxTotalAmount", money(totals.tax), currencyID=currency)
    add(element, "ram:RoundingAmount", money(totals.rounding))
    add(element, "ram:GrandTotalAmount", money(totals.with_tax))
    add(element, "ram:TotalPrepaidAmount", money(totals.paid))
    add(element, "ram:DuePayableAmount", money(totals.due))


def _date(element: Element, path: str, day: date, prefix: str = "udt") -> None:
    add(element, f"{path}/{prefix}:DateTimeString", f"{day:%Y%m%d}", format="102")
