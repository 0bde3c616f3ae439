"""Markup and margin: the difference between cost and price, as a share of cost or as a share of price.

margin = markup / (1 + markup); markup = margin / (1 - margin); price = cost x (1 + markup).
"""

import re
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction
from functools import cached_property

_TYPED = re.compile(
    r"(?P<minus>-?)(?P<number>\d{1,6}(?:\.\d{0,6})?|\.\d{1,6})%?(?P<kind>markup|margin)?", re.ASCII
)
_LARGEST_PERCENT = 10_000


class UnreadableMarkup(ValueError):
    """The typed markup can't be used; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class Markup:
    """A percentage of cost (a markup) or of price (a margin). `str()` is as it is stored: "12.5 margin".

    Raises UnreadableMarkup for a markup of -100 % or less (the work would be given away), a margin of
    100 % or more (no price reaches it), or a markup above 10,000 %.
    """

    percent: Decimal  # 20 means 20 %
    typed_as: str = "markup"  # "markup": share of cost; "margin": share of price

    def __post_init__(self) -> None:
        if self.typed_as not in ("markup", "margin"):
            raise UnreadableMarkup(f"{self.typed_as} is neither markup nor margin.")
        if not self.percent.is_finite():
            raise UnreadableMarkup("A markup is a number of percent, such as 20.")
        if self.typed_as == "margin" and self.percent >= 100:
            raise UnreadableMarkup(
                "A margin is a share of the price, so it stays below 100%. Did you mean markup?"
            )
        if self.typed_as == "markup" and self.percent <= -100:
            raise UnreadableMarkup("A markup of -100% or less gives the work away: type more than -100.")
        if self.share * 100 > _LARGEST_PERCENT:
            raise UnreadableMarkup("That is a markup above 10,000%: check the number.")

    @cached_property
    def share(self) -> Fraction:
        """Return what is added to cost, as an exact share of cost (20 % markup: 1/5)."""
        share = Fraction(self.percent) / 100
        return share / (1 - share) if self.typed_as == "margin" else share

    @property
    def margin(self) -> Fraction:
        """Return what is left of the price after cost, as an exact share of the price."""
        return self.share / (1 + self.share)

    def on(self, cost: Fraction) -> Fraction:
        """Return the exact price of something that costs this much, not rounded."""
        return cost * (1 + self.share)

    def in_words(self) -> str:
        """Return both names of it, the typed one first, to 0.01 % half-up: "20% markup = 16.67% margin"."""
        markup, margin = f"{_percent(self.share)} markup", f"{_percent(self.margin)} margin"
        return f"{margin} = {markup}" if self.typed_as == "margin" else f"{markup} = {margin}"

    def __str__(self) -> str:
        return f"{self.percent:f} {self.typed_as}"


def parse_markup(text: str, typed_as: str = "markup") -> Markup:
    """Read a markup or margin such as "20", "20%" or "12.5 % margin"; a number alone is what `typed_as` says.

    Raises UnreadableMarkup with a plain sentence for anything else.
    """
    plain = "".join(text.lower().split()).replace("\N{MINUS SIGN}", "-")
    if not plain:
        raise UnreadableMarkup("Type a percentage, such as 20% markup or 15% margin.")
    match = _TYPED.fullmatch(plain)
    if match is None:
        raise UnreadableMarkup(
            f"{text.strip()[:40]} isn't a percentage. Type one such as 20% markup or 15% margin."
        )
    return Markup(Decimal(match["minus"] + match["number"]), match["kind"] or typed_as)


def markup_in_words(typed: str) -> str:
    """Return a typed markup with the margin that it equals, or the sentence that says what is wrong.

    Nothing typed gives an empty text.
    """
    if not typed.strip():
        return ""
    try:
        return parse_markup(typed).in_words()
    except UnreadableMarkup as error:
        return str(error)


def _percent(share: Fraction) -> str:
    exact = Decimal(share.numerator * 100) / Decimal(share.denominator)
    rounded = exact.quantize(Decimal("0.01"), ROUND_HALF_UP)
    return f"{rounded:f}".rstrip("0").rstrip(".") + "%"
