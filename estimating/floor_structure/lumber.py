"""Sizes and reference design values of joists, and how they bend.

Reference values in bending and of elasticity are those of the NDS Supplement, tables 4A (with its size
factors) and 4B (Southern Pine, since 2013), from memory. They give the spans of the Residential Code as
printed, grade by grade: floors, table R502.3.1(2) for grade No. 2 as mycarpentry.com/joist-span-table.html
has it, and ceilings, table R802.5.1(2) of 2018 for all grades (online.flipbuilder.com/mewf/mima, page 430);
see `tests/published/test_joist_spans.py`. Those of Southern Pine agree with the Southern Pine Use Guide,
metric edition, as quoted in the source of xcfem/xc.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

THICK_IN = Fraction(3, 2)
DEPTHS_IN: Mapping[str, Fraction] = {
    "2x6": Fraction(11, 2),
    "2x8": Fraction(29, 4),
    "2x10": Fraction(37, 4),
    "2x12": Fraction(45, 4),
}
SPECIES: Mapping[str, str] = {
    "dfl": "Douglas fir-larch",
    "hf": "Hem-fir",
    "spf": "Spruce-pine-fir",
    "sp": "Southern pine",
}
GRADES: Mapping[str, str] = {"ss": "Select Structural", "1": "No. 1", "2": "No. 2", "3": "No. 3"}

REPETITIVE = Fraction(115, 100)  # three joists or more beside one another (NDS 4.3.9)
_SIZE_FACTORS = {
    "2x6": Fraction(13, 10),
    "2x8": Fraction(12, 10),
    "2x10": Fraction(11, 10),
    "2x12": Fraction(1),
}
# Modulus of elasticity in millions of psi, and bending in psi before the size factor.
_TABLE_4A = {
    ("dfl", "ss"): ("1.9", 1500),
    ("dfl", "1"): ("1.7", 1000),
    ("dfl", "2"): ("1.6", 900),
    ("dfl", "3"): ("1.4", 525),
    ("hf", "ss"): ("1.6", 1400),
    ("hf", "1"): ("1.5", 975),
    ("hf", "2"): ("1.3", 850),
    ("hf", "3"): ("1.2", 500),
    ("spf", "ss"): ("1.5", 1250),
    ("spf", "1"): ("1.4", 875),
    ("spf", "2"): ("1.4", 875),
    ("spf", "3"): ("1.2", 500),
}
# Southern Pine has its bending values by size.
_TABLE_4B = {
    "ss": ("1.8", {"2x6": 2100, "2x8": 1950, "2x10": 1700, "2x12": 1600}),
    "1": ("1.6", {"2x6": 1350, "2x8": 1250, "2x10": 1050, "2x12": 1000}),
    "2": ("1.4", {"2x6": 1000, "2x8": 925, "2x10": 800, "2x12": 750}),
    "3": ("1.3", {"2x6": 575, "2x8": 525, "2x10": 475, "2x12": 450}),
}


@dataclass(frozen=True)
class Joist:
    """A joist by its size, species group and grade, as the keys of the tables here name them."""

    size: str
    species: str
    grade: str

    @property
    def depth_in(self) -> Fraction:
        return DEPTHS_IN[self.size]

    @property
    def inertia_in4(self) -> Fraction:
        """The moment of inertia, in quartic inches."""
        return THICK_IN * self.depth_in**3 / 12

    @property
    def section_in3(self) -> Fraction:
        """The section modulus, in cubic inches."""
        return THICK_IN * self.depth_in**2 / 6

    @property
    def elasticity_psi(self) -> int:
        millions = (
            _TABLE_4B[self.grade][0] if self.species == "sp" else _TABLE_4A[self.species, self.grade][0]
        )
        return int(Fraction(millions) * 1_000_000)

    @property
    def bending_psi(self) -> Fraction:
        """What it may carry in bending, in a floor of several joists."""
        if self.species == "sp":
            return _TABLE_4B[self.grade][1][self.size] * REPETITIVE
        return _TABLE_4A[self.species, self.grade][1] * _SIZE_FACTORS[self.size] * REPETITIVE

    def deflection_in(self, pounds_per_inch: Fraction, span_in: Fraction) -> Fraction:
        """Return how far it gives in the middle: 5 w L^4 / (384 E I)."""
        return 5 * pounds_per_inch * span_in**4 / (384 * self.elasticity_psi * self.inertia_in4)

    def stress_psi(self, pounds_per_inch: Fraction, span_in: Fraction) -> Fraction:
        """Return the stress in bending: w L^2 / 8 over the section modulus."""
        return pounds_per_inch * span_in**2 / 8 / self.section_in3

    def longest_span_in(
        self, spacing_in: Fraction, limit: int, live_psf: Fraction, dead_psf: Fraction
    ) -> int:
        """Return the longest span in whole inches: live load within span / limit, all load within bending."""
        live, total = (load * spacing_in / 144 for load in (live_psf, live_psf + dead_psf))
        span = 1
        while (
            self.deflection_in(live, Fraction(span + 1)) * limit <= span + 1
            and self.stress_psi(total, Fraction(span + 1)) <= self.bending_psi
        ):
            span += 1
        return span
