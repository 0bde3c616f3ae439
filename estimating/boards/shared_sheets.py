"""The sheets of one board that many surfaces of a job are cut from: what one leaves serves another."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, lru_cache
from typing import Literal, NamedTuple, TypedDict

from estimating.boards.layout_request import EDITION, LayoutRequest
from estimating.boards.results import LayoutResult, SavedResult, result_from_json, result_to_json
from estimating.sheet_layout.estimate_by_area import Sheet
from estimating.sheet_layout.lay import lay, near_equals
from estimating.sheet_layout.layout import FixedLayout, Layout, LayoutPreferences, Parts, Piece, StraightCut
from estimating.sheet_layout.packing import Stock
from estimating.sheet_layout.rules import SheetRules
from estimating.sheet_layout.shared import BEST, FIRST, Choice, Laid, Plan, alone, cuts_of, hosts, share
from estimating.sheet_layout.surface import Surface

Inside = tuple[tuple[LayoutRequest, LayoutResult], ...]
OTHER_LAYOUTS = 3  # of a surface that are tried beside its own


@dataclass(frozen=True)
class Shares:
    """How sheets are shared: the plan, and the surfaces that are laid otherwise for its sake.

    `alone` counts the sheets that the surfaces would take if each were cut for by itself.
    """

    plan: Plan
    instead: Mapping[int, LayoutResult]
    alone: int


class _Origin(NamedTuple):
    """Where a piece comes from: the number of its sheet, and whether that was begun before."""

    sheet: int
    from_offcut: bool
    laid: Laid | None


@dataclass(frozen=True, eq=False)
class SharedSheets:
    """Sheets shared by surfaces, which come in the order of hanging.

    Sheets are counted over all of them, each where its first piece is hung. `best` is False for a first
    answer.
    """

    key: str
    requests: tuple[LayoutRequest, ...]
    results: tuple[LayoutResult, ...]
    shares: Shares
    best: bool
    _numbers: dict[int, int] = field(default_factory=dict, init=False)

    @cached_property
    def _origins(self) -> tuple[tuple[_Origin, ...], ...]:
        of_part = {laid.part: (at, laid) for at, sheet in enumerate(self.shares.plan) for laid in sheet}
        part = number = 0
        found = []
        for result in self.results:
            origins = []
            for piece in result.pieces:
                if piece is None:
                    number += 1
                    origins.append(_Origin(number, False, None))
                    continue
                source, laid = of_part[part]
                part += 1
                known = source in self._numbers
                if not known:
                    number += 1
                    self._numbers[source] = number
                origins.append(_Origin(self._numbers[source], known, laid))
            found.append(tuple(origins))
        return tuple(found)

    @cached_property
    def begun(self) -> tuple[int, ...]:
        """How many sheets are begun on each surface."""
        return tuple(sum(not origin.from_offcut for origin in origins) for origins in self._origins)

    @cached_property
    def from_offcuts(self) -> tuple[int, ...]:
        """How many pieces of each surface are cut from an offcut."""
        return tuple(sum(origin.from_offcut for origin in origins) for origins in self._origins)

    @property
    def sheets(self) -> int:
        return sum(self.begun)

    @cached_property
    def begun_on(self) -> dict[int, int]:
        """The surface on which each sheet is begun."""
        return {
            origin.sheet: at
            for at, origins in enumerate(self._origins)
            for origin in origins
            if not origin.from_offcut
        }

    def begun_elsewhere(self, at: int) -> dict[int, str]:
        """Return the sheets of a surface's offcuts that are begun on another, with the name of that."""
        here = {origin.sheet for origin in self._origins[at]}
        began = self.begun_on
        return {sheet: self._named(began[sheet], at) for sheet in here if began[sheet] != at}

    def _named(self, other: int, at: int) -> str:
        """Return the name of a surface as it is said on another: in the same room without that."""
        there, here = self.requests[other], self.requests[at]
        if there.room != here.room:
            return there.name
        surface = there.room_surface.name
        return f"{surface[0].lower()}{surface[1:]}"

    @cached_property
    def _pieces(self) -> tuple[tuple[int, int], ...]:
        """The surface and the number there of the piece that each part is, over all surfaces."""
        return tuple(
            (at, number)
            for at, result in enumerate(self.results)
            for number, part in enumerate(result.pieces, start=1)
            if part
        )

    @cached_property
    def _hosts(self) -> dict[tuple[int, int], tuple[int, int]]:
        """The piece out of which another was cut, by that other; each by its surface and number."""
        return {
            self._pieces[part]: self._pieces[host]
            for sheet in self.shares.plan
            for part, host in hosts(sheet).items()
        }

    def fell_out_of(self, at: int) -> dict[int, tuple[str, int]]:
        """Return the pieces of a surface that fell out of a notched one: that one's number, and its surface
        where it is another, else nothing."""
        return {
            number: ("" if other == at else self._named(other, at), host)
            for (surface, number), (other, host) in self._hosts.items()
            if surface == at
        }

    def given_to(self, at: int) -> dict[int, list[tuple[str, int]]]:
        """Return what sheets that are begun on a surface give to others: surface and piece, by the sheet."""
        given: dict[int, list[tuple[str, int]]] = {}
        for other, origins in enumerate(self._origins):
            for number, origin in enumerate(origins, start=1):
                if other != at and self.begun_on[origin.sheet] == at:
                    given.setdefault(origin.sheet, []).append((self._named(other, at), number))
        return given

    @property
    def least(self) -> int:
        """A count of sheets that no layout of these surfaces can do without."""
        return _least(self.requests, self.results)

    def drawn(self, layout: Layout, at: int) -> Layout:
        """Return the layout of a surface with its pieces and cuts as the sheets are shared."""
        origins = self._origins[at]
        fallen = self.fell_out_of(at)
        pieces = tuple(
            replace(_cut_from(piece, origin), fallen=piece.number in fallen)
            for piece, origin in zip(layout.pieces, origins, strict=True)
        )
        here = {origin.sheet for origin in origins if not origin.from_offcut}
        cuts = [
            StraightCut(number, *cut)
            for source, number in self._numbers.items()
            if number in here
            for cut in cuts_of(self.shares.plan[source], layout.rules.kerf_nm)
        ]
        return replace(layout, pieces=pieces, cuts=tuple(sorted(cuts, key=lambda cut: cut.sheet)))


def _cut_from(piece: Piece, origin: _Origin) -> Piece:
    laid = origin.laid
    x, y, turned = (laid.x, laid.y, laid.turned) if laid else (0, 0, False)
    return replace(
        piece,
        sheet=origin.sheet,
        sheet_x_nm=x,
        sheet_y_nm=y,
        turned=turned,
        from_offcut=origin.from_offcut,
    )


def sharing_key(requests: Sequence[LayoutRequest]) -> str:
    """Return a hash of everything that shared sheets depend on, once each surface has its best layout."""
    values = [f"shared {EDITION}", *(request.key for request in requests)]
    return hashlib.sha256(", ".join(values).encode()).hexdigest()


@lru_cache(maxsize=32)
def searched_shares(inside: Inside, effort: Literal["first", "best"]) -> Shares:
    """Search for the fewest sheets for all of these surfaces, which have one board and one kerf."""
    requests, results = zip(*inside, strict=True)
    sheet, rules = requests[0].sheet, requests[0].rules
    long, short = max(sheet.length_nm, sheet.width_nm), min(sheet.length_nm, sheet.width_nm)
    stock = Stock(long, short, rules.kerf_nm, rules.may_turn)
    own = tuple(Choice.of(result.pieces) for result in results)
    least = _least(requests, results)
    shared = share(tuple((choice,) for choice in own), stock, FIRST, least)
    instead: dict[int, LayoutResult] = {}
    taken = len(shared.plan) + sum(choice.whole for choice in own)
    if effort == "best" and taken > least and len(inside) > 1:
        others = [_other_layouts(request, result) for request, result in inside]
        ways = tuple(
            (choice, *(Choice.of(parts) for _, parts in found))
            for choice, found in zip(own, others, strict=True)
        )
        wider = share(ways, stock, BEST, least)
        if len(wider.plan) + sum(ways[at][way].whole for at, way in enumerate(wider.chosen)) < taken:
            shared = wider
            instead = {
                at: _drawn(requests[at], others[at][way - 1][0]) for at, way in enumerate(wider.chosen) if way
            }
    return Shares(shared.plan, instead, sum(alone(choice, stock) for choice in own))


def _other_layouts(request: LayoutRequest, result: LayoutResult) -> list[tuple[FixedLayout, Parts]]:
    """Return layouts of a surface that are nearly as good as the one found, with their pieces."""
    surface, least = request.room_surface.surface, request.rules.min_piece_nm
    found = _near_equals(surface, request.sheet, request.rules, request.preferences)
    others = [
        (given, parts)
        for given, parts in found
        if given != result.given
        and sum(min(part[:2]) < least for part in parts if part) <= result.figures.slivers
    ]
    return others[:OTHER_LAYOUTS]


@lru_cache(maxsize=256)
def _near_equals(
    surface: Surface, sheet: Sheet, rules: SheetRules, preferences: LayoutPreferences
) -> list[tuple[FixedLayout, Parts]]:
    return near_equals(surface, sheet, rules, preferences, OTHER_LAYOUTS + 1)


def _drawn(request: LayoutRequest, given: FixedLayout) -> LayoutResult:
    return LayoutResult.of(lay(request.room_surface.surface, request.sheet, request.rules, fixed=given))


def _least(requests: Sequence[LayoutRequest], results: Sequence[LayoutResult]) -> int:
    sheet, rules = requests[0].sheet, requests[0].rules
    gap = 0 if rules.kerf_nm < rules.gap_nm else rules.gap_nm
    gives = (sheet.length_nm + gap) * (sheet.width_nm + gap)
    return max(1, -(-sum(result.figures.needed_nm2 for result in results) // gives))


class SavedShares(TypedDict):
    """Shares as the database stores them; the keys are part of the stored rows."""

    plan: list[list[list[int]]]
    instead: dict[str, SavedResult]
    alone: int


def shares_to_json(shares: Shares) -> SavedShares:
    """Return shares as JSON can store them."""
    return {
        "plan": [[list(map(int, laid)) for laid in sheet] for sheet in shares.plan],
        "instead": {str(at): result_to_json(result) for at, result in shares.instead.items()},
        "alone": shares.alone,
    }


def shares_from_json(saved: SavedShares) -> Shares | None:
    """Return the stored shares; None where an older version stored a layout in them."""
    instead = {int(at): result_from_json(result) for at, result in saved["instead"].items()}
    known = {at: result for at, result in instead.items() if result}
    if len(known) < len(instead):
        return None
    plan = tuple(tuple(map(_laid, sheet)) for sheet in saved["plan"])
    return Shares(plan, known, saved["alone"])


def _laid(saved: list[int]) -> Laid:
    part, turned, x, y, w, h, free_x, free_y, free_w, free_h, lengthwise = saved
    return Laid(part, bool(turned), x, y, w, h, free_x, free_y, free_w, free_h, bool(lengthwise))
