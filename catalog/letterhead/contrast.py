"""Whether a color can be read on white paper (WCAG 2.2, 1.4.3: contrast of at least 4.5 to 1)."""

import re
from fractions import Fraction

LEAST = 4.5
_HEX = re.compile(r"#[0-9a-f]{6}")


class UnfitColor(ValueError):
    """A color that papers can't carry; the message says why and what would be right."""


def paper_color(typed: str) -> str:
    """Return a color as "#1d5a9e". Raises UnfitColor where it is none, or too light for white paper."""
    color = f"#{typed.strip().lower().removeprefix('#')}"
    if not _HEX.fullmatch(color):
        raise UnfitColor("Type the color as # and six figures or letters from a to f, such as #1d5a9e.")
    if on_white(color) < LEAST:
        raise UnfitColor(
            f"That color is too light to be read on white paper: its contrast is {on_white(color):.1f} to 1,"
            f" and {LEAST} to 1 is needed. {_darkened(color)} would do."
        )
    return color


def on_white(color: str) -> float:
    """Return the contrast of a color on white, from 1 to 21."""
    return 1.05 / (_luminance(color) + 0.05)


def _luminance(color: str) -> float:
    """Return the relative luminance, as WCAG defines it."""
    parts = [int(color[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def _darkened(color: str) -> str:
    """Return the same color, darker by as little as makes it readable."""
    parts = [int(color[place : place + 2], 16) for place in (1, 3, 5)]
    for hundredth in range(99, -1, -1):
        darker = "#" + "".join(f"{int(part * Fraction(hundredth, 100)):02x}" for part in parts)
        if on_white(darker) >= LEAST:
            return darker
    return "#000000"
