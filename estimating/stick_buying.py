"""Material that is sold in sticks, bought for the pieces of the rooms instead of by length."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from catalog.expansion import MaterialSpec, Requirement
from catalog.measures import MEASURES, MeasureSet
from catalog.packaging import Purchase
from catalog.units import NM_PER_FOOT, feet_from_nm
from estimating.room_plan import RoomPlan
from estimating.stick_pieces import USUAL, CannotCut, Piece, StickRules, pieces_of
from estimating.stick_rows import rows_of
from estimating.sticks import MOST_PIECES, CutList, Stick, cut


@dataclass(frozen=True)
class StickUse:
    """What one work item asks of a material in sticks, its measures, and the walls that it is done on.

    `by_hand` holds the codes of the measures that were put in by hand.
    """

    work: str
    title: str
    requirements: tuple[Requirement, ...]
    measures: MeasureSet
    by_hand: frozenset[str]
    rooms: tuple[tuple[RoomPlan, frozenset[int] | None], ...]


@dataclass(frozen=True)
class CutPurchase:
    """Sticks bought by a cut list, and the feet of pieces that each work item has in it.

    What the purchase requires is the pieces' length as they are cut, mitres in and waste out.
    """

    cuts: CutList
    purchase: Purchase
    by_work: Mapping[str, Fraction]


def buy_for_pieces(material: MaterialSpec, uses: Sequence[StickUse]) -> CutPurchase:
    """The cheapest sticks that yield the pieces of all this work; a package is one stick.

    Raises CannotCut, with the reason, where pieces aren't known or no stick yields them.
    """
    if material.unit != "ft":
        raise CannotCut(f"{material.name} is used by the {material.unit}; sticks are cut by the foot.")
    rules = USUAL.with_width(material.stick_width_nm)
    pieces = {use.work: _pieces(use, rules) for use in uses}
    sticks = tuple(Stick(offer.key, int(offer.size * NM_PER_FOOT), offer.price) for offer in material.offers)
    cuts = cut(tuple(piece for each in pieces.values() for piece in each), sticks, rules)
    by_work = {work: feet_from_nm(sum(piece.length_nm for piece in each)) for work, each in pieces.items()}
    return CutPurchase(cuts, _purchase(material, cuts, sum(by_work.values(), Fraction(0))), by_work)


def _pieces(use: StickUse, rules: StickRules) -> list[Piece]:
    pieces: list[Piece] = []
    for requirement in use.requirements:
        code, share = requirement.working.measure, _share(use, requirement)
        if not share:
            continue
        if code == "ceiling":
            spacing_nm = round(NM_PER_FOOT / share)
            pieces += [piece for plan, _ in use.rooms for piece in rows_of(plan, spacing_nm)]
            continue
        times = _times(use, requirement, share)
        pieces += [
            piece for plan, walls in use.rooms for piece in pieces_of(code, plan, walls, rules)
        ] * times
    return pieces


def _share(use: StickUse, requirement: Requirement) -> Fraction:
    """The feet that are asked for by one unit of the measure, waste out; none where there is none of it."""
    working = requirement.working
    label = MEASURES[working.measure].label
    if not use.rooms:
        raise CannotCut(f"{use.title} is done in no room, so that its pieces aren't known.")
    if working.measure in use.by_hand:
        raise CannotCut(f"{label} of {use.title} was typed by hand, so that its pieces aren't known.")
    if working.set_up:
        raise CannotCut(f"{use.title} asks for a fixed amount beside its pieces.")
    measured = use.measures.amount(working.measure)
    return requirement.quantity / (1 + working.waste) / measured if measured else Fraction(0)


def _times(use: StickUse, requirement: Requirement, share: Fraction) -> int:
    """How often the pieces of a measure are cut: once on one face of a door, twice on both."""
    measure = MEASURES[requirement.working.measure]
    if measure.unit != "ft" or share.denominator != 1 or share > MOST_PIECES:
        raise CannotCut(f"{use.title} doesn't ask for a foot of it for each foot of {measure.label.lower()}.")
    return int(share)


def _purchase(material: MaterialSpec, cuts: CutList, required: Fraction) -> Purchase:
    numbers = Counter(each.stick.key for each in cuts.sticks)
    by_size = sorted(material.offers, key=lambda offer: offer.size, reverse=True)
    counts = tuple((offer, numbers[offer.key]) for offer in by_size if numbers[offer.key])
    bought = sum((offer.size * number for offer, number in counts), Fraction(0))
    return Purchase(required, counts, cuts.cost, bought, bought - required, cuts.count)
