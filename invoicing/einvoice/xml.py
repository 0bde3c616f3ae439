"""XML elements by their path, and numbers as both syntaxes of EN 16931 write them."""

from decimal import Decimal
from xml.etree import ElementTree


def add(parent: ElementTree.Element, path: str, text: str = "", **attributes: str) -> ElementTree.Element:
    """Add the elements of a path below a parent, the last with this text and attributes, and return it."""
    element = parent
    for tag in path.split("/"):
        element = ElementTree.SubElement(element, tag)
    element.text = text or None
    element.attrib.update(attributes)
    return element


def add_if_given(parent: ElementTree.Element, path: str, text: str, **attributes: str) -> None:
    """Add the elements of a path where there is a text: the standard allows no empty element."""
    if text.strip():
        add(parent, path, text.strip(), **attributes)


def number(value: Decimal) -> str:
    """Return a quantity, price or rate without zeros at the end of its decimals."""
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def to_bytes(root: ElementTree.Element) -> bytes:
    """Return the document in UTF-8, indented; the same elements always give the same bytes."""
    ElementTree.indent(root)
    xml: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return xml
