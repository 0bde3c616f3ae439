"""Random pieces and sticks for tests of cut lists, and the answers of an independent solver."""

from decimal import Decimal
from itertools import product
from random import Random

import pytest

from catalog.measures.lengths import NM_PER_FOOT, NM_PER_INCH
from estimating.linear_stock.cut_list import CutList, Stick
from estimating.linear_stock.pieces import USUAL, Piece
from estimating.rooms.plan import Opening
from tests.specs import inches, room

SIXTEENTH_NM = NM_PER_INCH // 16
# The invented kitchen: a window, a cased opening and a back door, 49'-4" of casing.
KITCHEN = room(
    "13' 4\"",
    "10' 8\"",
    openings=(
        Opening("Window", "window", 0, inches("60"), inches("40"), sill_nm=inches("42")),
        Opening("Opening", "cased", 2, inches("36"), inches("80")),
        Opening("Back door", "door", 3, inches("36"), inches("80")),
    ),
)


def pieces(*lengths_nm: int) -> tuple[Piece, ...]:
    return tuple(Piece(length, f"piece {number}") for number, length in enumerate(lengths_nm, start=1))


def stick(feet: int, price: str) -> Stick:
    return Stick(f"{feet} ft", feet * NM_PER_FOOT, Decimal(price))


def random_case(random: Random, most: int) -> tuple[tuple[Piece, ...], tuple[Stick, ...]]:
    """Up to `most` pieces on whole sixteenths, and up to four lengths of stick, priced near their length."""
    feet = random.sample([8, 10, 12, 14, 16], random.randint(1, 4))
    sticks = tuple(stick(length, f"{length * random.randint(160, 200) / 100:.2f}") for length in feet)
    longest = max(feet) * 12 * 16
    kinds = [random.randint(longest // 12, longest) for _ in range(random.randint(1, 12))]
    lengths = (random.choice(kinds) * SIXTEENTH_NM for _ in range(random.randint(1, most)))
    return pieces(*lengths), sticks


def house_case(random: Random, most: int) -> tuple[tuple[Piece, ...], tuple[Stick, ...]]:
    """Casing of doors and windows as houses have them, up to `most` pieces."""
    feet = random.sample([8, 10, 12, 14, 16], random.randint(1, 4))
    sticks = tuple(stick(length, f"{length * random.randint(160, 200) / 100:.2f}") for length in feet)
    lengths: list[int] = []
    for _ in range(random.randint(1, most // 3)):
        leg = random.choice([78, 80, 82]) * 16 + 36
        lengths += [leg, leg, random.choice([24, 28, 30, 32, 36, 60]) * 16 + 72]
    return pieces(*(length * SIXTEENTH_NM for length in lengths)), sticks


def check(cuts: CutList, wanted: tuple[Piece, ...]) -> None:
    """Every piece is cut once, and no stick gives more than it is long, kerfs counted."""
    assert sorted(cuts.pieces, key=repr) == sorted(wanted, key=repr)
    for cut_stick in cuts.sticks:
        used = sum(piece.length_nm for piece in cut_stick.pieces) + cuts.kerf_nm * (len(cut_stick.pieces) - 1)
        assert cut_stick.pieces
        assert used <= cut_stick.stick.length_nm
        assert cut_stick.offcut_nm == max(0, cut_stick.stick.length_nm - used - cuts.kerf_nm)


def solved(wanted: tuple[Piece, ...], sticks: tuple[Stick, ...], seconds: float) -> tuple[Decimal, int, bool]:
    """Least cost and then fewest sticks by CP-SAT, which puts every piece into one of as many sticks."""
    cp_model = pytest.importorskip("ortools.sat.python.cp_model")
    model = cp_model.CpModel()
    kerf = USUAL.kerf_nm // SIXTEENTH_NM
    places = range(len(wanted))
    used = {(place, kind): model.NewBoolVar("") for place, kind in product(places, range(len(sticks)))}
    lies = {
        (piece, place): model.NewBoolVar("") for piece, place in product(places, places) if place <= piece
    }
    rooms = [stick.length_nm // SIXTEENTH_NM + kerf for stick in sticks]
    for place in places:
        of_place = [used[place, kind] for kind in range(len(sticks))]
        model.AddAtMostOne(of_place)
        held = [
            lies[piece, place] * (wanted[piece].length_nm // SIXTEENTH_NM + kerf)
            for piece in places
            if place <= piece
        ]
        room = sum(number * size for number, size in zip(of_place, rooms, strict=True))
        model.Add(sum(held) <= room)
    for piece in places:
        model.AddExactlyOne(lies[piece, place] for place in places if place <= piece)
    fine = len(wanted) + 1
    cents = [int(stick.price * 100) for stick in sticks]
    model.Minimize(sum((cents[kind] * fine + 1) * number for (_, kind), number in used.items()))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = 2
    status = solver.Solve(model)
    cost, count = divmod(round(solver.ObjectiveValue()), fine)
    return Decimal(cost) / 100, count, status == cp_model.OPTIMAL
