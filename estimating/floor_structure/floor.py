"""The answer for one floor under tile: stiff enough or not, with its arithmetic."""

from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from catalog.measures.lengths import NM_PER_INCH, format_length, half_up
from estimating.floor_structure.lumber import GRADES, SPECIES, Joist
from estimating.floor_structure.tile_weight import UNDER, TileWeight, tile_weight

# Living areas (Residential Code table R301.5, as table R502.3.1(2) has it), and the floor without the tile.
LIVE_PSF = Fraction(40)
FLOOR_PSF = Fraction(10)
# Tile: Residential Code table R301.7, and TCNA Handbook. Stone: the Natural Stone Institute, as the NTCA
# Reference Manual 2024-25 quotes it (page 55): a 720th under live load.
LIMITS = {"tile": 360, "stone": 720}
FINISHES = {"tile": "Porcelain or ceramic tile", "stone": "Natural stone"}
MOST_SPACING_IN = 16  # "joists be spaced 16 inches on center or less": engineered wood tech note GE-6, 2003
CAUTION = (
    "This holds for sound joists on two supports, evenly loaded as a room is, with no wall, filled tub, stone"
    " island or other heavy thing on them. Joists that are notched, bored near their edges, cracked or"
    " patched, trusses, I-joists, headers and beams are for a licensed engineer, and so is whatever you don't"
    " know of this floor. The subfloor between the joists must be right for tile too."
)


@dataclass(frozen=True)
class FloorFrame:
    """A floor of joists and what is to be laid on it, by the keys of the tables of this package."""

    size: str
    spacing_nm: int
    span_nm: int
    species: str
    grade: str
    finish: str = "tile"
    under: str = "board-1/2"
    thickness_nm: int = NM_PER_INCH * 3 // 8

    @property
    def joist(self) -> Joist:
        return Joist(self.size, self.species, self.grade)

    @property
    def spacing_in(self) -> Fraction:
        return Fraction(self.spacing_nm, NM_PER_INCH)

    @property
    def span_in(self) -> Fraction:
        return Fraction(self.span_nm, NM_PER_INCH)

    @property
    def weight(self) -> TileWeight:
        return tile_weight(self.finish, Fraction(self.thickness_nm, NM_PER_INCH), self.under)

    @property
    def limit(self) -> int:
        return LIMITS[self.finish]

    @property
    def dead_psf(self) -> Fraction:
        return FLOOR_PSF + self.weight.total

    def _on_a_joist(self, psf: Fraction) -> Fraction:
        """Return a load of the floor in pounds an inch of joist."""
        return psf * self.spacing_in / 144

    @property
    def live_deflection_in(self) -> Fraction:
        return self.joist.deflection_in(self._on_a_joist(LIVE_PSF), self.span_in)

    @property
    def total_deflection_in(self) -> Fraction:
        return self.joist.deflection_in(self._on_a_joist(LIVE_PSF + self.dead_psf), self.span_in)

    @property
    def stress_psi(self) -> Fraction:
        return self.joist.stress_psi(self._on_a_joist(LIVE_PSF + self.dead_psf), self.span_in)

    @property
    def longest_span_nm(self) -> int:
        """The longest span of these joists under this finish, in whole inches."""
        span = self.joist.longest_span_in(self.spacing_in, self.limit, LIVE_PSF, self.dead_psf)
        return span * NM_PER_INCH

    @property
    def is_stiff(self) -> bool:
        return self.live_deflection_in * self.limit <= self.span_in

    @property
    def is_strong(self) -> bool:
        return self.stress_psi <= self.joist.bending_psi


@dataclass(frozen=True)
class FloorAnswer:
    """What is said of a floor: whether it will do, in words, what more to mind, and the arithmetic."""

    is_enough: bool
    words: str
    notes: tuple[str, ...]
    arithmetic: tuple[str, ...]


def judge(floor: FloorFrame, metric: bool = False) -> FloorAnswer:
    """Return the answer for a floor."""
    share = int(floor.span_in / floor.live_deflection_in)
    stiffness = f"it gives L/{share} under a full room, and L/{floor.limit} is asked for"
    finish = FINISHES[floor.finish].lower()
    if not floor.is_stiff:
        words = f"This floor isn't stiff enough: {stiffness} {finish}."
    elif not floor.is_strong:
        percent = half_up(100 * floor.stress_psi / floor.joist.bending_psi)
        words = (
            f"This floor is stiff enough, but too weak: {stiffness} {finish}; with the tile and a full room"
            f" the joists carry {percent}% of what their grade allows."
        )
    else:
        words = f"This floor is stiff enough: {stiffness} {finish}."
    enough = floor.is_stiff and floor.is_strong
    return FloorAnswer(enough, words, tuple(_notes(floor, enough, metric)), tuple(_arithmetic(floor, metric)))


def _notes(floor: FloorFrame, enough: bool, metric: bool) -> Iterator[str]:
    if not enough:
        longest = format_length(floor.longest_span_nm, metric)
        yield (
            f"These joists may span {longest} under it at this spacing. A support in the middle, or joists"
            " beside the old ones, help; an engineer says which."
        )
    total = int(floor.span_in / floor.total_deflection_in)
    if enough and total < floor.limit:
        yield (
            f"With the weight of floor and tile counted in, it gives L/{total}. Some makers and handbooks ask"
            f" for L/{floor.limit} of that too: read what your tile asks for."
        )
    if floor.spacing_in > MOST_SPACING_IN:
        yield (
            f"Joists more than {format_length(MOST_SPACING_IN * NM_PER_INCH, metric)} apart ask for a thicker"
            " subfloor or two layers: read the handbook's method for this spacing."
        )


def _arithmetic(floor: FloorFrame, metric: bool) -> Iterator[str]:
    joist, weight = floor.joist, floor.weight
    laid = _number(weight.total, 1)
    live = LIVE_PSF * floor.spacing_in / 12
    apart = _number(floor.spacing_in, 1).removesuffix(".0")
    total = (LIVE_PSF + floor.dead_psf) * floor.spacing_in / 12
    moment = total * floor.span_in**2 / 96  # w L^2 / 8, w in pounds a foot
    yield (
        f"Joist {floor.size}, {SPECIES[joist.species]}, {GRADES[joist.grade]}: E = {joist.elasticity_psi:,}"
        f" psi, I = {_number(joist.inertia_in4, 1)} in4, S = {_number(joist.section_in3, 1)} in3."
    )
    parts = [f"{'stone' if floor.finish == 'stone' else 'tile'} {_number(weight.tile, 1)}"]
    parts += [f"{UNDER[floor.under][0]} {_number(weight.under, 1)}"] if weight.under else []
    yield f"Laid: {' + '.join(parts)} + thinset {_number(weight.thinset, 1)} = {laid} lb per sq ft."
    yield (f"A full room: {LIVE_PSF} lb per sq ft x {apart} in / 12 = {_number(live, 1)} lb per ft of joist.")
    yield (
        f"It gives 5 w L^4 / (384 E I) = {_number(floor.live_deflection_in, 3)} in over"
        f" {format_length(floor.span_nm, metric)}; L/{floor.limit} is"
        f" {_number(floor.span_in / floor.limit, 3)} in."
    )
    yield (
        f"Bending: room {LIVE_PSF} + floor {FLOOR_PSF} + laid {laid} lb per sq ft are {_number(total, 1)} lb"
        f" per ft; w L^2 / 8 = {_number(moment, 0)} in-lb, over S {_number(floor.stress_psi, 0)} psi, of"
        f" {_number(joist.bending_psi, 0)} psi that the grade allows."
    )


def _number(exact: Fraction, places: int) -> str:
    whole, part = divmod(half_up(exact * 10**places), 10**places)
    return f"{whole:,}" + (f".{part:0{places}}" if places else "")
