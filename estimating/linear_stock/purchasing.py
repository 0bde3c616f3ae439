"""Material that is sold in sticks, bought for the pieces of the rooms instead of by length."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.assemblies.expansion import ZERO, Requirement
from catalog.assemblies.packaging import Purchase, cover
from catalog.assemblies.specs import MaterialSpec
from catalog.measures.lengths import NM_PER_FOOT, feet_from_nm, half_up
from catalog.measures.room_measures import MEASURES, MeasureSet
from estimating.linear_stock.cut_list import MOST_PIECES, CutList, Stick, cut
from estimating.linear_stock.furring import rows_of
from estimating.linear_stock.pieces import USUAL, CannotCut, Piece, StickRules, pieces_of
from estimating.rooms.plan import RoomPlan


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
    """Sticks bought by a cut list, and the feet that each work item has in them.

    What the purchase requires of work that is cut is its pieces' length as they are cut, miters in and waste
    out; `by_length` is what length and waste alone would buy for it. Work whose pieces aren't known is
    bought by length besides; `not_cut` says why, a sentence each.
    """

    cuts: CutList
    purchase: Purchase
    by_work: Mapping[str, Fraction]
    by_length: Purchase
    not_cut: tuple[str, ...]


def buy_for_pieces(material: MaterialSpec, uses: Sequence[StickUse]) -> CutPurchase:
    """Return the cheapest sticks that yield the pieces of all this work; a package is one stick.

    Raises CannotCut, with the reason, where no pieces are known or no stick yields them.
    """
    if material.unit != "ft":
        raise CannotCut(f"{material.name} is used by the {material.unit}; sticks are cut by the foot.")
    rules = USUAL.with_width(material.stick_width_nm)
    pieces: dict[str, list[Piece]] = {}
    not_cut: dict[str, str] = {}
    for use in uses:
        try:
            pieces[use.work] = _pieces(use, rules)
        except CannotCut as reason:
            not_cut[use.work] = str(reason)
    if not pieces:
        raise CannotCut(" ".join(dict.fromkeys(not_cut.values())))
    sticks = tuple(Stick(offer.key, int(offer.size * NM_PER_FOOT), offer.price) for offer in material.offers)
    cuts = cut(tuple(piece for cut_for in pieces.values() for piece in cut_for), sticks, rules)
    by_work = {
        work: feet_from_nm(sum(piece.length_nm for piece in cut_for)) for work, cut_for in pieces.items()
    }
    asked = {use.work: sum((requirement.quantity for requirement in use.requirements), ZERO) for use in uses}
    rest = {work: asked[work] for work in not_cut}
    return CutPurchase(
        cuts,
        _purchase(material, cuts, sum(by_work.values(), ZERO), sum(rest.values(), ZERO)),
        {use.work: (by_work | rest)[use.work] for use in uses},
        cover(sum((asked[work] for work in pieces), ZERO), material.offers),
        tuple(dict.fromkeys(not_cut.values())),
    )


def _pieces(use: StickUse, rules: StickRules) -> list[Piece]:
    pieces: list[Piece] = []
    for requirement in use.requirements:
        code, share = requirement.calculation.measure, _share(use, requirement)
        if not share:
            continue
        if code == "ceiling":
            spacing_nm = half_up(NM_PER_FOOT / share)
            pieces += [piece for plan, _ in use.rooms for piece in rows_of(plan, spacing_nm)]
            continue
        times = _times(use, requirement, share)
        pieces += [
            piece for plan, walls in use.rooms for piece in pieces_of(code, plan, walls, rules)
        ] * times
    return pieces


def _share(use: StickUse, requirement: Requirement) -> Fraction:
    """Return the feet that one unit of the measure takes, without waste; zero where there is none."""
    calculation = requirement.calculation
    label = MEASURES[calculation.measure].label
    if not use.rooms:
        raise CannotCut(f"{use.title} is done in no room, so that its pieces aren't known.")
    if calculation.measure in use.by_hand:
        raise CannotCut(f"{label} of {use.title} was typed by hand, so that its pieces aren't known.")
    if calculation.set_up:
        raise CannotCut(f"{use.title} takes a fixed amount beside its pieces.")
    measured = use.measures.amount(calculation.measure)
    return requirement.quantity / (1 + calculation.waste) / measured if measured else ZERO


def _times(use: StickUse, requirement: Requirement, share: Fraction) -> int:
    """Return how often the pieces of a measure are cut: once on one face of a door, twice on both."""
    measure = MEASURES[requirement.calculation.measure]
    if measure.unit != "ft":
        raise CannotCut(f"{use.title} goes by {measure.label.lower()}, from which its pieces aren't known.")
    if share.denominator != 1 or share > MOST_PIECES:
        raise CannotCut(f"{use.title} doesn't ask for a foot of it for each foot of {measure.label.lower()}.")
    return int(share)


def _purchase(material: MaterialSpec, cuts: CutList, pieces_ft: Fraction, rest_ft: Fraction) -> Purchase:
    """Return the sticks of the cut list, and those that cover the rest."""
    numbers = Counter(cut_stick.stick.key for cut_stick in cuts.sticks)
    numbers.update({offer.key: number for offer, number in cover(rest_ft, material.offers).counts})
    by_size = sorted(material.offers, key=lambda offer: offer.size, reverse=True)
    counts = tuple((offer, numbers[offer.key]) for offer in by_size if numbers[offer.key])
    cost = sum((offer.price * number for offer, number in counts), Decimal("0.00"))
    bought, required = sum((offer.size * number for offer, number in counts), ZERO), pieces_ft + rest_ft
    return Purchase(required, counts, cost, bought, bought - required, numbers.total())
