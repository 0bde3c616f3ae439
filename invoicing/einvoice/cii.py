"""The invoice in the CII syntax of EN 16931, as a PDF carries it under the name factur-x.xml."""

from datetime import date
from xml.etree.ElementTree import Element

from invoicing.einvoice.faults import refuse_faults
from invoicing.einvoice.model import Address, Adjustment, Category, Invoice, Line, Party, Tax, Totals, totals
from invoicing.einvoice.xml import money, number, put, put_if, written

GUIDELINE = "urn:cen.eu:en16931:2017"
FILE_NAME = "factur-x.xml"
_UN = "urn:un:unece:uncefact:data:standard"
_NAMESPACES = {
    "xmlns:rsm": f"{_UN}:CrossIndustryInvoice:100",
    "xmlns:ram": f"{_UN}:ReusableAggregateBusinessInformationEntity:100",
    "xmlns:udt": f"{_UN}:UnqualifiedDataType:100",
    "xmlns:qdt": f"{_UN}:QualifiedDataType:100",
}


def write_cii(invoice: Invoice) -> bytes:
    """The invoice or credit note as a CII document. Raises UnfitInvoice when it has faults."""
    refuse_faults(invoice)
    root = Element("rsm:CrossIndustryInvoice", _NAMESPACES)
    context = "rsm:ExchangedDocumentContext/ram:GuidelineSpecifiedDocumentContextParameter/ram:ID"
    put(root, context, GUIDELINE)
    document = put(root, "rsm:ExchangedDocument")
    put(document, "ram:ID", invoice.number)
    put(document, "ram:TypeCode", "381" if invoice.is_credit else "380")
    _date(document, "ram:IssueDateTime", invoice.issued)
    put_if(document, "ram:IncludedNote/ram:Content", invoice.note)
    trade = put(root, "rsm:SupplyChainTradeTransaction")
    for place, line in enumerate(invoice.lines, start=1):
        _line(trade, str(place), line)
    _agreement(trade, invoice)
    _delivery(trade, invoice)
    _settlement(trade, invoice, totals(invoice))
    return written(root)


def _line(trade: Element, place: str, line: Line) -> None:
    item = put(trade, "ram:IncludedSupplyChainTradeLineItem")
    put(item, "ram:AssociatedDocumentLineDocument/ram:LineID", place)
    product = put(item, "ram:SpecifiedTradeProduct")
    put(product, "ram:Name", line.name)
    put_if(product, "ram:Description", line.description)
    price = "ram:SpecifiedLineTradeAgreement/ram:NetPriceProductTradePrice/ram:ChargeAmount"
    put(item, price, number(line.price))
    quantity = "ram:SpecifiedLineTradeDelivery/ram:BilledQuantity"
    put(item, quantity, number(line.quantity), unitCode=line.unit)
    settlement = put(item, "ram:SpecifiedLineTradeSettlement")
    _category(put(settlement, "ram:ApplicableTradeTax"), line.tax)
    summation = "ram:SpecifiedTradeSettlementLineMonetarySummation/ram:LineTotalAmount"
    put(settlement, summation, money(line.amount))


def _agreement(trade: Element, invoice: Invoice) -> None:
    agreement = put(trade, "ram:ApplicableHeaderTradeAgreement")
    _party(put(agreement, "ram:SellerTradeParty"), invoice.seller)
    _party(put(agreement, "ram:BuyerTradeParty"), invoice.buyer)
    put_if(agreement, "ram:ContractReferencedDocument/ram:IssuerAssignedID", invoice.contract)


def _party(element: Element, party: Party) -> None:
    put(element, "ram:Name", party.name)
    put_if(element, "ram:SpecifiedLegalOrganization/ram:ID", party.legal_id)
    if party.contact or party.phone:
        contact = put(element, "ram:DefinedTradeContact")
        put_if(contact, "ram:PersonName", party.contact)
        put_if(contact, "ram:TelephoneUniversalCommunication/ram:CompleteNumber", party.phone)
        put_if(contact, "ram:EmailURIUniversalCommunication/ram:URIID", party.email)
    _address(element, party.address)
    put_if(element, "ram:URIUniversalCommunication/ram:URIID", party.email, schemeID="EM")
    put_if(element, "ram:SpecifiedTaxRegistration/ram:ID", party.tax_id, schemeID="FC")


def _address(element: Element, address: Address) -> None:
    postal = put(element, "ram:PostalTradeAddress")
    put_if(postal, "ram:PostcodeCode", address.postcode)
    put_if(postal, "ram:LineOne", address.line)
    put_if(postal, "ram:LineTwo", address.second_line)
    put_if(postal, "ram:CityName", address.city)
    put(postal, "ram:CountryID", address.country)
    put_if(postal, "ram:CountrySubDivisionName", address.region)


def _delivery(trade: Element, invoice: Invoice) -> None:
    delivery = put(trade, "ram:ApplicableHeaderTradeDelivery")
    _address(put(delivery, "ram:ShipToTradeParty"), invoice.site or invoice.buyer.address)
    if invoice.finished:
        _date(delivery, "ram:ActualDeliverySupplyChainEvent/ram:OccurrenceDateTime", invoice.finished)


def _settlement(trade: Element, invoice: Invoice, sums: Totals) -> None:
    settlement = put(trade, "ram:ApplicableHeaderTradeSettlement")
    put(settlement, "ram:InvoiceCurrencyCode", invoice.currency)
    if means := invoice.pay_by:
        element = put(settlement, "ram:SpecifiedTradeSettlementPaymentMeans")
        put(element, "ram:TypeCode", means.code)
        put_if(element, "ram:Information", means.words)
        put_if(element, "ram:PayeePartyCreditorFinancialAccount/ram:ProprietaryID", means.account)
    for group in sums.groups:
        element = put(settlement, "ram:ApplicableTradeTax")
        put(element, "ram:CalculatedAmount", money(group.amount))
        _category(element, group.tax, money(group.base))
    for each in invoice.adjustments:
        _adjustment(settlement, each)
    if invoice.terms or invoice.due:
        terms = put(settlement, "ram:SpecifiedTradePaymentTerms")
        put_if(terms, "ram:Description", invoice.terms)
        if invoice.due:
            _date(terms, "ram:DueDateDateTime", invoice.due)
    _summation(settlement, invoice.currency, sums)
    if invoice.corrects:
        reference = put(settlement, "ram:InvoiceReferencedDocument")
        put(reference, "ram:IssuerAssignedID", invoice.corrects.number)
        _date(reference, "ram:FormattedIssueDateTime", invoice.corrects.issued, "qdt")


def _category(element: Element, tax: Tax, base: str = "") -> None:
    """Category and rate; in the breakdown, with the base and the reason in the schema's order."""
    put(element, "ram:TypeCode", "VAT")
    if base:
        put_if(element, "ram:ExemptionReason", tax.reason)
        put(element, "ram:BasisAmount", base)
    put(element, "ram:CategoryCode", tax.category.value)
    if tax.category != Category.OUTSIDE:
        put(element, "ram:RateApplicablePercent", number(tax.percent))


def _adjustment(settlement: Element, each: Adjustment) -> None:
    element = put(settlement, "ram:SpecifiedTradeAllowanceCharge")
    put(element, "ram:ChargeIndicator/udt:Indicator", "true" if each.is_charge else "false")
    put(element, "ram:ActualAmount", money(each.amount))
    put(element, "ram:Reason", each.reason)
    _category(put(element, "ram:CategoryTradeTax"), each.tax)


def _summation(settlement: Element, currency: str, sums: Totals) -> None:
    element = put(settlement, "ram:SpecifiedTradeSettlementHeaderMonetarySummation")
    put(element, "ram:LineTotalAmount", money(sums.lines))
    put(element, "ram:ChargeTotalAmount", money(sums.charges))
    put(element, "ram:AllowanceTotalAmount", money(sums.allowances))
    put(element, "ram:TaxBasisTotalAmount", money(sums.before_tax))
    put(element, "ram:TaxTotalAmount", money(sums.tax), currencyID=currency)
    put(element, "ram:RoundingAmount", money(sums.rounding))
    put(element, "ram:GrandTotalAmount", money(sums.with_tax))
    put(element, "ram:TotalPrepaidAmount", money(sums.paid))
    put(element, "ram:DuePayableAmount", money(sums.due))


def _date(element: Element, path: str, day: date, prefix: str = "udt") -> None:
    put(element, f"{path}/{prefix}:DateTimeString", f"{day:%Y%m%d}", format="102")
