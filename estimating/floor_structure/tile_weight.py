"""What tile, its board and its mortar weigh, in pounds a square foot."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

# Pounds a cubic foot. Porcelain 2.4 g/cm3: flooringclarity.com (weight of tile), which gives 3 to 6 lb a
# square foot; stone: granite and marble, from memory. Cement board: procalc.ai/construction/cement-board.
# Mortar, cured: from memory; ASCE 7 counts 12 lb for a bed an inch thick (from memory).
TILE_PCF = {"tile": 150, "stone": 170}
BOARD_PCF = 78
THINSET_PCF = 110
MORTAR_BED_PCF = 144

# What lies under the tile: its words, thickness of board and of mortar bed, and of thinset in all, in inches
# (thinset: 1/8 in under the tile and 1/16 under the board; common practice).
UNDER: Mapping[str, tuple[str, Fraction, Fraction, Fraction]] = {
    "board-1/2": ("1/2 in cement board", Fraction(1, 2), Fraction(0), Fraction(3, 16)),
    "board-1/4": ("1/4 in cement board", Fraction(1, 4), Fraction(0), Fraction(3, 16)),
    "membrane": ("an uncoupling membrane", Fraction(0), Fraction(0), Fraction(3, 16)),
    "mortar": ("a mortar bed 1-1/4 in thick", Fraction(0), Fraction(5, 4), Fraction(1, 8)),
}
LEAST_TILE_IN, MOST_TILE_IN = Fraction(1, 8), Fraction(2)


@dataclass(frozen=True)
class TileWeight:
    """The parts of what is laid, each with its weight in pounds a square foot."""

    tile: Fraction
    under: Fraction
    thinset: Fraction

    @property
    def total(self) -> Fraction:
        return self.tile + self.under + self.thinset


def tile_weight(finish: str, thickness_in: Fraction, under: str) -> TileWeight:
    """Return the weight of tile or stone of some thickness over what lies under it."""
    _, board, bed, thinset = UNDER[under]
    return TileWeight(
        TILE_PCF[finish] * thickness_in / 12,
        (BOARD_PCF * board + MORTAR_BED_PCF * bed) / 12,
        THINSET_PCF * thinset / 12,
    )
