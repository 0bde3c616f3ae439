"""Elements by path, amounts and dates as both syntaxes of EN 16931 write them."""

from decimal import Decimal
from xml.etree import ElementTree


def put(parent: ElementTree.Element, path: str, text: str = "", **attributes: str) -> ElementTree.Element:
    """Add the elements of a path below a parent and give the last one the text and attributes."""
    element = parent
    for tag in path.split("/"):
        element = ElementTree.SubElement(element, tag)
    element.text = text or None
    element.attrib.update(attributes)
    return element


def put_if(parent: ElementTree.Element, path: str, text: str, **attributes: str) -> None:
    """As `put`, but an empty text leaves everything out: the standard allows no empty element."""
    if text.strip():
        put(parent, path, text.strip(), **attributes)


def money(amount: Decimal) -> str:
    """Two decimals, as every amount of the document has them."""
    return f"{amount:.2f}"


def number(value: Decimal) -> str:
    """A quantity, price or rate, without zeros behind the point."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def written(root: ElementTree.Element) -> bytes:
    """The document in UTF-8, indented; the same invoice always gives the same bytes."""
    ElementTree.indent(root)
    return ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
