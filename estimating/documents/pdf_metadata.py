"""Marks that a PDF for the archive carries in its one RDF description, beside those that the library writes.

PDF/A-3 (ISO 19005-3, 6.6.2.3) wants every schema that it doesn't know described in the file itself.
"""

from dataclasses import dataclass
from html import escape

_PDFA = "http://www.aiim.org/pdfa/ns"
_END = b"</rdf:RDF>"


@dataclass(frozen=True)
class Mark:
    """A property of a schema: its name, its value, and what it means."""

    name: str
    value: str
    says: str
    kind: str = "Text"


@dataclass(frozen=True)
class Schema:
    """Marks of one XML namespace."""

    name: str
    namespace: str
    prefix: str
    marks: tuple[Mark, ...]


ACCESSIBLE = Schema(
    "PDF/UA identification",
    "http://www.aiim.org/pdfua/ns/id/",
    "pdfuaid",
    (Mark("part", "1", "Part of ISO 14289", "Integer"),),
)


def with_marks(rdf: bytes, *schemas: Schema) -> bytes:
    """The description with these marks and what their schemas are.

    Raises ValueError where it has no end of its own to put them before.
    """
    if rdf.count(_END) != 1:
        raise ValueError("The PDF library wrote a description that this program doesn't know.")
    described = (
        f'<rdf:Description rdf:about="" xmlns:pdfaExtension="{_PDFA}/extension/" '
        f'xmlns:pdfaSchema="{_PDFA}/schema#" xmlns:pdfaProperty="{_PDFA}/property#">'
        f"<pdfaExtension:schemas><rdf:Bag>{''.join(map(_described, schemas))}</rdf:Bag>"
        "</pdfaExtension:schemas></rdf:Description>"
    )
    return rdf.replace(_END, (described + "".join(map(_marked, schemas))).encode() + _END)


def _marked(schema: Schema) -> str:
    values = "".join(
        f"<{schema.prefix}:{each.name}>{escape(each.value)}</{schema.prefix}:{each.name}>"
        for each in schema.marks
    )
    return (
        f'<rdf:Description rdf:about="" xmlns:{schema.prefix}="{schema.namespace}">{values}</rdf:Description>'
    )


def _described(schema: Schema) -> str:
    rows = "".join(
        f'<rdf:li rdf:parseType="Resource"><pdfaProperty:name>{each.name}</pdfaProperty:name>'
        f"<pdfaProperty:valueType>{each.kind}</pdfaProperty:valueType>"
        "<pdfaProperty:category>external</pdfaProperty:category>"
        f"<pdfaProperty:description>{escape(each.says)}</pdfaProperty:description></rdf:li>"
        for each in schema.marks
    )
    return (
        '<rdf:li rdf:parseType="Resource">'
        f"<pdfaSchema:schema>{schema.name}</pdfaSchema:schema>"
        f"<pdfaSchema:namespaceURI>{schema.namespace}</pdfaSchema:namespaceURI>"
        f"<pdfaSchema:prefix>{schema.prefix}</pdfaSchema:prefix>"
        f"<pdfaSchema:property><rdf:Seq>{rows}</rdf:Seq></pdfaSchema:property></rdf:li>"
    )
