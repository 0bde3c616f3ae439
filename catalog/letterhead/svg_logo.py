"""A logo in SVG, rebuilt from shapes and colors alone.

Nothing of the file itself is kept: what is known is read, checked value by value and written anew. A file
with anything that runs, loads or embeds is refused, as is one with letters, whose typeface we don't have;
notes of a drawing program are left out.
"""

import re
from collections.abc import Iterator
from xml.etree import ElementTree as ET

MOST_LETTERS, MOST_SHAPES, DEEPEST = 60_000, 2000, 30
NAMESPACE = "http://www.w3.org/2000/svg"

_NUMBER = r"[-+]?(?:\d+\.?\d*|\.\d+)(?:[eE][-+]?\d+)?"
_LENGTH = re.compile(rf"{_NUMBER}(?:px|pt|mm|cm|in|%)?")
_NUMBERS = re.compile(rf"\s*{_NUMBER}(?:[\s,]+{_NUMBER}|(?=[-+.]){_NUMBER})*\s*")
_PATH = re.compile(r"[MmLlHhVvCcSsQqTtAaZz0-9eE+\-.,\s]*")
_COLOR = re.compile(
    r"none|currentColor|transparent|[a-zA-Z]{3,20}|#[0-9a-fA-F]{3,8}"
    r"|rgba?\(\s*[\d.]+%?(?:\s*[,\s/]\s*[\d.]+%?){2,3}\s*\)"
)
_TRANSFORM = re.compile(
    rf"(?:\s*(?:matrix|translate|scale|rotate|skewX|skewY)\(\s*{_NUMBER}(?:[\s,]+{_NUMBER})*\s*\),?)+\s*"
)
_WORD = re.compile(r"[a-zA-Z-]{2,20}")
_REFERENCE = re.compile(r"url\(\s*#([A-Za-z_][\w.-]*)\s*\)")
_IDENT = re.compile(r"[A-Za-z_][\w.-]*")

_SHAPES = {"path", "rect", "circle", "ellipse", "line", "polyline", "polygon"}
_GROUPS = {"g", "defs", "clipPath", "linearGradient", "radialGradient", "stop"}
_LEFT_OUT = {"title", "desc", "metadata"}
_LENGTHS = (
    "x y width height cx cy r rx ry x1 y1 x2 y2 fx fy offset stroke-width stroke-dashoffset"
    " stroke-miterlimit opacity fill-opacity stroke-opacity stop-opacity"
)
_WORDS = "fill-rule clip-rule stroke-linecap stroke-linejoin gradientUnits clipPathUnits spreadMethod"
_VALUES = {
    **dict.fromkeys(_LENGTHS.split(), _LENGTH),
    **dict.fromkeys(_WORDS.split(), _WORD),
    **dict.fromkeys(("points", "stroke-dasharray"), _NUMBERS),
    **dict.fromkeys(("transform", "gradientTransform"), _TRANSFORM),
    **dict.fromkeys(("fill", "stroke", "stop-color", "color"), _COLOR),
    "d": _PATH,
}
_MAY_REFER = {"fill", "stroke", "clip-path"}


class UnfitLogo(ValueError):
    """A file that can't be a logo; the message says why and what would be right."""


def safe_svg(text: str, title: str) -> str:
    """Return the drawing rebuilt as one SVG element with this title. Raises UnfitLogo."""
    if len(text) > MOST_LETTERS:
        raise UnfitLogo("The drawing is over 60 KB. Save it simpler, or as a PNG.")
    if "<!DOCTYPE" in text and "[" in text.partition("<!DOCTYPE")[2].partition(">")[0] or "<!ENTITY" in text:
        raise UnfitLogo("The drawing defines entities, which a logo needs none of. Save it as plain SVG.")
    try:
        root = ET.fromstring(text)
    except (ET.ParseError, ValueError) as error:
        raise UnfitLogo("The file isn't an SVG that can be read. Save it again as plain SVG.") from error
    if root.tag != f"{{{NAMESPACE}}}svg":
        raise UnfitLogo("The file isn't an SVG. Choose a PNG, a JPEG or an SVG.")
    rebuilt = ET.Element("svg", {"xmlns": NAMESPACE, "viewBox": _view(root), "role": "img"})
    ET.SubElement(rebuilt, "title").text = title
    shapes = 0
    for child in _children(root, 0):
        rebuilt.append(child)
        shapes += sum(element.tag in _SHAPES for element in child.iter())
    if not shapes:
        raise UnfitLogo("There is nothing drawn in the file.")
    if shapes > MOST_SHAPES:
        raise UnfitLogo(f"The drawing has over {MOST_SHAPES} shapes. Save it simpler, or as a PNG.")
    return ET.tostring(rebuilt, encoding="unicode")


def _view(root: ET.Element) -> str:
    """Return the box that the drawing is seen through, from the file's own or from its size."""
    view = root.get("viewBox", "").replace(",", " ").split()
    if not view:
        view = ["0", "0", root.get("width", ""), root.get("height", "")]
    numbers = [part.removesuffix("px") for part in view]
    if len(numbers) != 4 or not all(re.fullmatch(_NUMBER, number) for number in numbers):
        raise UnfitLogo("The drawing doesn't say how large it is. Save it with a viewBox.")
    if not (0 < float(numbers[2]) < 1e6 and 0 < float(numbers[3]) < 1e6):
        raise UnfitLogo("The drawing is empty by its own size. Save it again.")
    return " ".join(numbers)


def _children(element: ET.Element, depth: int) -> Iterator[ET.Element]:
    """Yield what an element holds, rebuilt. Raises UnfitLogo."""
    if depth > DEEPEST:
        raise UnfitLogo("The drawing is nested too deep. Save it as plain SVG.")
    for child in element:
        space, _, name = str(child.tag).rpartition("}")
        if space.removeprefix("{") != NAMESPACE or name in _LEFT_OUT:
            continue
        if name == "text":
            raise UnfitLogo("The drawing has letters in it. Turn them into outlines (paths) and save again.")
        if name not in _SHAPES | _GROUPS:
            raise UnfitLogo(
                f"The drawing has a part ({name[:20]}) that a paper can't carry. Save it as plain SVG, "
                "without pictures, styles and effects, or as a PNG."
            )
        rebuilt = ET.Element(name, dict(_attributes(child)))
        rebuilt.extend(_children(child, depth + 1))
        yield rebuilt


def _attributes(element: ET.Element) -> Iterator[tuple[str, str]]:
    """Yield the attributes that are known and whose values are what they should be."""
    if (ident := element.get("id")) and _IDENT.fullmatch(ident):
        yield "id", f"logo-{ident}"
    styles = (part.partition(":") for part in element.get("style", "").split(";"))
    given = {**element.attrib, **{name.strip(): value.strip() for name, _, value in styles if value}}
    for name, value in given.items():
        reference = _REFERENCE.fullmatch(value.strip())
        if reference and name in _MAY_REFER:
            yield name, f"url(#logo-{reference.group(1)})"
        elif (form := _VALUES.get(name)) and form.fullmatch(value.strip()):
            yield name, value.strip()
