"""The file that an archival PDF carries inside, and the XMP properties that name it in the metadata.

PDF/A-3 (ISO 19005-3, 6.6.2.3) demands that the file itself describes every metadata schema that the
standard doesn't define. The properties here go into the one RDF description of the PDF, beside those that
the PDF library writes.
"""

from dataclasses import dataclass
from datetime import datetime
from html import escape

_PDFA = "http://www.aiim.org/pdfa/ns"
_END = b"</rdf:RDF>"


@dataclass(frozen=True)
class XmpProperty:
    """A property of a metadata schema; `meaning` and `value_type` go into the description of the schema."""

    name: str
    value: str
    meaning: str
    value_type: str = "Text"


@dataclass(frozen=True)
class XmpSchema:
    """The properties of one XML namespace."""

    name: str
    namespace: str
    prefix: str
    properties: tuple[XmpProperty, ...]


@dataclass(frozen=True)
class Attachment:
    """A file inside a PDF that says the same for machines; `schema` marks the PDF as carrying it."""

    name: str
    content: bytes
    description: str
    schema: XmpSchema
    created: datetime


ACCESSIBLE = XmpSchema(
    "PDF/UA identification",
    "http://www.aiim.org/pdfua/ns/id/",
    "pdfuaid",
    (XmpProperty("part", "1", "Part of ISO 14289", "Integer"),),
)


def with_schemas(rdf: bytes, *schemas: XmpSchema) -> bytes:
    """Return an RDF description with the properties of these schemas and a description of each schema.

    Raises ValueError where the RDF hasn't exactly one closing tag to put them before.
    """
    if rdf.count(_END) != 1:
        raise ValueError("The PDF library wrote a description that this program doesn't know.")
    described = (
        f'<rdf:Description rdf:about="" xmlns:pdfaExtension="{_PDFA}/extension/" '
        f'xmlns:pdfaSchema="{_PDFA}/schema#" xmlns:pdfaProperty="{_PDFA}/property#">'
        f"<pdfaExtension:schemas><rdf:Bag>{''.join(map(_schema_description, schemas))}</rdf:Bag>"
        "</pdfaExtension:schemas></rdf:Description>"
    )
    return rdf.replace(_END, (described + "".join(map(_values, schemas))).encode() + _END)


def _values(schema: XmpSchema) -> str:
    """Return the values of a schema's properties as RDF."""
    values = "".join(
        f"<{schema.prefix}:{prop.name}>{escape(prop.value)}</{schema.prefix}:{prop.name}>"
        for prop in schema.properties
    )
    return (
        f'<rdf:Description rdf:about="" xmlns:{schema.prefix}="{schema.namespace}">{values}</rdf:Description>'
    )


def _schema_description(schema: XmpSchema) -> str:
    """Return the description of a schema's properties that PDF/A asks for."""
    rows = "".join(
        f'<rdf:li rdf:parseType="Resource"><pdfaProperty:name>{prop.name}</pdfaProperty:name>'
        f"<pdfaProperty:valueType>{prop.value_type}</pdfaProperty:valueType>"
        "<pdfaProperty:category>external</pdfaProperty:category>"
        f"<pdfaProperty:description>{escape(prop.meaning)}</pdfaProperty:description></rdf:li>"
        for prop in schema.properties
    )
    return (
        '<rdf:li rdf:parseType="Resource">'
        f"<pdfaSchema:schema>{schema.name}</pdfaSchema:schema>"
        f"<pdfaSchema:namespaceURI>{schema.namespace}</pdfaSchema:namespaceURI>"
        f"<pdfaSchema:prefix>{schema.prefix}</pdfaSchema:prefix>"
        f"<pdfaSchema:property><rdf:Seq>{rows}</rdf:Seq></pdfaSchema:property></rdf:li>"
    )
