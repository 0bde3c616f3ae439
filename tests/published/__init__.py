"""Our arithmetic against published figures: a row a figure, with where it stands and how near we must come.

A row runs our own code on the published inputs. Where the published figure and ours differ by more than
the tolerance, the row says why and holds the difference, instead of a wider tolerance that would hide it.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

import pytest

EXACT = "0"


@dataclass(frozen=True)
class Source:
    """A publication as it was read: title with author, edition or date, and address."""

    title: str
    edition: str
    address: str


@dataclass(frozen=True)
class Check:
    """One published figure and the way to ours.

    `expected` and `within` are decimals in the unit that `words` name. `ours` is set only where we differ:
    what we give instead, to the decimals that it is written with, and `differs` says why.
    """

    words: str
    source: Source
    place: str  # table, section or page
    by: Callable[..., Fraction | Decimal | int]  # runs our code
    given: Mapping[str, str]
    expected: str
    within: str = EXACT
    why: str = "whole numbers or exact decimals"  # why that tolerance
    basis: str = "printed"  # or "derived" from printed inputs, or a "case" under a printed rule
    ours: str = ""
    differs: str = ""

    def __post_init__(self) -> None:
        assert self.basis in ("printed", "derived", "case"), self.basis
        assert bool(self.ours) == bool(self.differs), "a difference needs our figure and the reason"

    @cached_property
    def got(self) -> Fraction:
        return Fraction(self.by(**self.given))

    @property
    def off(self) -> Fraction:
        return abs(self.got - Fraction(self.expected))

    @property
    def off_percent(self) -> Fraction:
        expected = abs(Fraction(self.expected))
        return self.off / expected * 100 if expected else Fraction(0)

    def hold(self) -> None:
        """Agree within the tolerance, or differ by just what the row says."""
        if not self.differs:
            assert self.off <= Fraction(self.within), f"{float(self.got)}, published {self.expected}"
            return
        assert self.off > Fraction(self.within), f"{float(self.got)} agrees: this is no difference any more"
        decimals = len(self.ours.partition(".")[2])
        half = Fraction(1, 2 * 10**decimals)
        assert abs(self.got - Fraction(self.ours)) <= half, f"{float(self.got)}, known as {self.ours}"


def every_check(checks: tuple[Check, ...]) -> pytest.MarkDecorator:
    """Run a test once for every row, each under its own words."""
    return pytest.mark.parametrize("check", [pytest.param(check, id=check.words) for check in checks])
