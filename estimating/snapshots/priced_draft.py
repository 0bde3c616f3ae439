"""What snapshots are made from: a draft that was taken off and priced."""

from collections.abc import Mapping, Sequence
from typing import Protocol

from estimating.pricing.hidden_conditions import PricedCondition
from estimating.pricing.price import AllowanceInput, Policy, PricedEstimate
from estimating.rooms.plan import RoomPlan
from estimating.takeoff.takeoff import TakeOff
from estimating.takeoff.work import Conventions


class PricedDraft(Protocol):
    """A draft taken off and priced: what went in, and what it comes to."""

    @property
    def rooms(self) -> Mapping[str, RoomPlan]: ...
    @property
    def policy(self) -> Policy: ...
    @property
    def conventions(self) -> Conventions: ...
    @property
    def allowances(self) -> Sequence[AllowanceInput]: ...
    @property
    def conditions(self) -> Sequence[PricedCondition]: ...
    @property
    def take_off(self) -> TakeOff: ...
    @property
    def priced(self) -> PricedEstimate: ...


def reasons_not_ready(draft: PricedDraft) -> tuple[str, ...]:
    """Say why no document can be made of this draft yet, in plain sentences; empty when one can."""
    if not draft.take_off.items and not draft.allowances:
        return ("There is no work in the estimate yet.",)
    unpriced = (condition.problem for condition in draft.conditions if condition.problem)
    return (*draft.take_off.problems, *unpriced)
