"""A plan of milestones that sums to the contract sum, to the cent, before and after every signed change.

All amounts are before sales tax, which each bill works out on what it asks for; `taxable` is the part of
an amount that is taxed.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents, split_cents

NO_MONEY = Decimal("0.00")


class PlanFault(ValueError):
    """The plan can't stand like this; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class Term:
    """How one milestone is agreed: a share of the contract sum, an amount, or (neither) the balance."""

    key: str
    name: str
    condition: str  # a sentence that anyone can check by looking
    share: Fraction | None = None
    amount: Decimal | None = None
    is_deposit: bool = False

    @property
    def is_balance(self) -> bool:
        return self.share is None and self.amount is None


@dataclass(frozen=True)
class Milestone:
    """One milestone of a drawn plan; `base` is its part of the signed estimate, without changes."""

    key: str
    name: str
    condition: str
    base: Decimal
    base_taxable: Decimal = NO_MONEY
    is_deposit: bool = False


@dataclass(frozen=True)
class SignedChange:
    """A signed change. `by_measure` bills hours and receipts as they come; `amount` is then its limit."""

    key: str
    title: str
    amount: Decimal
    taxable: Decimal = NO_MONEY
    by_measure: bool = False


@dataclass(frozen=True)
class ChangePart:
    """The part of a signed change that is billed with one milestone."""

    change: str
    milestone: str
    amount: Decimal
    taxable: Decimal = NO_MONEY


@dataclass(frozen=True)
class Plan:
    """Milestones and signed changes. Raises PlanFault when they don't sum to the contract sum.

    `retainage` is the share held back from each bill for work. `deposit` is asked for before the work
    and taken off later bills; a deposit that is simply first in line is a milestone with `is_deposit`.
    """

    signed_sum: Decimal
    milestones: tuple[Milestone, ...]
    changes: tuple[SignedChange, ...] = ()
    parts: tuple[ChangePart, ...] = ()
    retainage: Fraction = Fraction(0)
    deposit: Decimal = NO_MONEY

    def __post_init__(self) -> None:
        if not 0 <= self.retainage < 1:
            raise PlanFault("Retainage is a share below 100 %, such as 5 %.")
        if not 0 <= self.deposit <= self.signed_sum:
            raise PlanFault("A deposit is part of the contract sum: it can't be negative or above it.")
        if len({each.key for each in self.milestones}) != len(self.milestones):
            raise PlanFault("Two milestones have the same key.")
        base = sum((each.base for each in self.milestones), NO_MONEY)
        if base != self.signed_sum:
            raise PlanFault(
                f"The milestones come to {format_price(base)}; the signed sum is "
                f"{format_price(self.signed_sum)}."
            )
        self._check_changes()

    def _check_changes(self) -> None:
        for change in self.changes:
            placed = sum((part.amount for part in self.parts if part.change == change.key), NO_MONEY)
            if placed != change.amount:
                raise PlanFault(
                    f"{change.title} is {format_price(change.amount)}, of which {format_price(placed)} "
                    "has a place in the plan."
                )
        milestones, changes = {each.key for each in self.milestones}, {each.key for each in self.changes}
        if any(part.milestone not in milestones or part.change not in changes for part in self.parts):
            raise PlanFault("A change stands with a milestone that isn't in the plan.")

    @property
    def contract_sum(self) -> Decimal:
        """The signed estimate with every signed change."""
        return self.signed_sum + sum((change.amount for change in self.changes), NO_MONEY)

    @property
    def deposit_asked(self) -> Decimal:
        """What is asked for before the work begins, whichever way it is taken into account later, less the
        retainage held of it."""
        return self.deposit + self._first(sum((each.base for each in self._deposits()), NO_MONEY))

    @property
    def deposit_taxable(self) -> Decimal:
        """What is taxed of it."""
        taxed = sum((each.base_taxable for each in self.milestones), NO_MONEY)
        first = self._first(sum((each.base_taxable for each in self._deposits()), NO_MONEY))
        if not self.deposit:
            return first
        return first + round_cents(Fraction(taxed) * Fraction(self.deposit) / Fraction(self.signed_sum))

    def _deposits(self) -> list[Milestone]:
        return [each for each in self.milestones if each.is_deposit]

    def _first(self, amount: Decimal) -> Decimal:
        """What a first milestone asks for, without what is held of it."""
        return amount - round_cents(self.retainage * Fraction(amount))

    def milestone(self, key: str) -> Milestone:
        """Raises PlanFault for a milestone that isn't in the plan."""
        for each in self.milestones:
            if each.key == key:
                return each
        raise PlanFault(f"There is no milestone {key} in this plan.")

    def change(self, key: str) -> SignedChange:
        """Raises PlanFault for a change that isn't in the plan."""
        for each in self.changes:
            if each.key == key:
                return each
        raise PlanFault(f"There is no signed change {key} in this plan.")

    def parts_of(self, milestone: str) -> tuple[ChangePart, ...]:
        return tuple(part for part in self.parts if part.milestone == milestone)

    def amount(self, milestone: str) -> Decimal:
        """What the milestone comes to, with the changes placed there."""
        changes = (part.amount for part in self.parts_of(milestone))
        return self.milestone(milestone).base + sum(changes, NO_MONEY)


def draw_plan(
    signed_sum: Decimal,
    terms: Sequence[Term],
    taxable: Decimal = NO_MONEY,
    retainage: Fraction = Fraction(0),
    deposit: Decimal = NO_MONEY,
) -> Plan:
    """The plan that these terms make of a signed sum; `taxable` is the part of the sum that is taxed.

    Raises PlanFault for terms that can't sum to it.
    """
    amounts = milestone_amounts(signed_sum, terms)
    taxed = _split(taxable, amounts)
    milestones = tuple(
        Milestone(term.key, term.name, term.condition, base, base_taxable, term.is_deposit)
        for term, base, base_taxable in zip(terms, amounts, taxed, strict=True)
    )
    return Plan(signed_sum, milestones, retainage=retainage, deposit=deposit)


def milestone_amounts(signed_sum: Decimal, terms: Sequence[Term]) -> list[Decimal]:
    """The milestones' amounts, which sum to the signed sum: largest remainder, ties to the last.

    Raises PlanFault: no milestone; shares alone that aren't 100 %; amounts alone that aren't the sum;
    both without a balance to take the rest; more than one balance; more than the sum.
    """
    _check_terms(signed_sum, terms)
    fixed = sum((term.amount for term in terms if term.amount is not None), NO_MONEY)
    to_share = Fraction(signed_sum)
    shares = {term.key: term.share * to_share for term in terms if term.share is not None}
    rest = to_share - Fraction(fixed) - sum(shares.values(), Fraction(0))
    if rest < 0:
        raise PlanFault(_too_much(signed_sum, terms))
    if rest and not any(term.is_balance for term in terms):
        raise PlanFault(_no_balance(signed_sum, terms, fixed))
    shared = [term for term in terms if term.amount is None]
    weights = [shares.get(term.key, rest) for term in shared]
    parts = dict(zip((term.key for term in shared), _split(signed_sum - fixed, weights), strict=True))
    return [parts[term.key] if term.amount is None else term.amount for term in terms]


def _check_terms(signed_sum: Decimal, terms: Sequence[Term]) -> None:
    if not terms:
        raise PlanFault("A plan needs at least one milestone.")
    if signed_sum < 0:
        raise PlanFault("A contract sum below zero can't be billed.")
    if len({term.key for term in terms}) != len(terms):
        raise PlanFault("Two milestones have the same key.")
    if sum(term.is_balance for term in terms) > 1:
        raise PlanFault("Only one milestone can be the balance.")
    for term in terms:
        if term.share is not None and term.amount is not None:
            raise PlanFault(f"{term.name} has a share and an amount: keep one of them.")
        if (term.share or 0) < 0 or (term.amount or 0) < 0:
            raise PlanFault(f"{term.name} is below zero: a milestone asks for money.")


def _percent(terms: Sequence[Term]) -> Decimal:
    return round_cents(100 * sum((term.share for term in terms if term.share is not None), Fraction(0)))


def _too_much(signed_sum: Decimal, terms: Sequence[Term]) -> str:
    if all(term.share is not None for term in terms):
        return f"The shares come to {_percent(terms)} %: they must come to 100 %. Lower one of them."
    return f"The milestones come to more than {format_price(signed_sum)}: lower one of them."


def _no_balance(signed_sum: Decimal, terms: Sequence[Term], fixed: Decimal) -> str:
    percent = _percent(terms)
    if all(term.share is not None for term in terms):
        return f"The shares come to {percent} %: they must come to 100 %, or make one the balance."
    if not percent:
        return (
            f"The amounts come to {format_price(fixed)} of {format_price(signed_sum)}: make one the balance."
        )
    return "Shares and amounts together leave a rest: make one milestone the balance."


def _split(total: Decimal, weights: Sequence[Fraction | Decimal]) -> list[Decimal]:
    """Largest remainder with ties to the last part, since the last draw takes the cent (common practice)."""
    if not total:
        return [NO_MONEY] * len(weights)
    return split_cents(total, [abs(Fraction(weight)) for weight in reversed(weights)])[::-1]


def place_with(plan: Plan, change: SignedChange, milestone: str, left: Mapping[str, Decimal]) -> Plan:
    """Bill a signed change with one milestone that is still open, as a line of its own.

    `left` is what each milestone has left to bill. Raises PlanFault when the milestone is billed
    already, or has less left than a deduction takes off.
    """
    name = plan.milestone(milestone).name
    room = left.get(milestone, NO_MONEY)
    if room <= 0 and plan.amount(milestone):
        raise PlanFault(f"{name} is billed already: give the change a line of its own.")
    _check_room(change, room)
    return _place(plan, change, {milestone: change.amount})


def place_spread(plan: Plan, change: SignedChange, left: Mapping[str, Decimal]) -> Plan:
    """Spread a signed change over the milestones with something left to bill, in proportion to that.

    Raises PlanFault when nothing is left, or less than a deduction takes off.
    """
    room = _open(plan, left)
    _check_room(change, sum(room.values(), NO_MONEY))
    parts = _split(change.amount, list(room.values()))
    return _place(plan, change, dict(zip(room, parts, strict=True)))


def place_last(plan: Plan, change: SignedChange, left: Mapping[str, Decimal]) -> Plan:
    """Bill a signed change with the last milestone that has something left. Raises as `place_with`."""
    return place_with(plan, change, list(_open(plan, left))[-1], left)


def settle(plan: Plan, change: str, amount: Decimal, taxable: Decimal, billed: Decimal) -> Plan:
    """Bring a change billed by measure down from its limit to what it came to; `taxable` is part of that.

    Raises PlanFault for a fixed price, for less than is billed, or for more than the limit.
    """
    agreed = plan.change(change)
    if not agreed.by_measure:
        raise PlanFault(f"{agreed.title} has a fixed price: a new signed change alters it.")
    if not billed <= amount <= agreed.amount:
        raise PlanFault(
            f"{agreed.title} can end between {format_price(billed)} billed and its limit of "
            f"{format_price(agreed.amount)}."
        )
    return standing_at(plan, replace(agreed, amount=amount, taxable=taxable))


def standing_at(plan: Plan, change: SignedChange) -> Plan:
    """The plan with a change billed by measure at the amount of `change`, such as its signed limit again."""
    changes = tuple(change if each.key == change.key else each for each in plan.changes)
    parts = tuple(
        replace(part, amount=change.amount, taxable=change.taxable) if part.change == change.key else part
        for part in plan.parts
    )
    return replace(plan, changes=changes, parts=parts)


def _open(plan: Plan, left: Mapping[str, Decimal]) -> dict[str, Decimal]:
    room = {each.key: left[each.key] for each in plan.milestones if left.get(each.key, NO_MONEY) > 0}
    if not room:
        raise PlanFault("Every milestone is billed: give the change a line of its own.")
    return room


def _check_room(change: SignedChange, room: Decimal) -> None:
    if room + change.amount < 0:
        raise PlanFault(
            f"{change.title} takes off {format_price(-change.amount)}, and {format_price(room)} is left to "
            "bill there: give it a line of its own."
        )


def _place(plan: Plan, change: SignedChange, amounts: Mapping[str, Decimal]) -> Plan:
    if any(each.key == change.key for each in plan.changes):
        raise PlanFault(f"{change.title} is in the plan already.")
    if change.by_measure and len(amounts) > 1:
        raise PlanFault(f"{change.title} is billed by hours and receipts: give it a line of its own.")
    taxed = _split(change.taxable, list(amounts.values()))
    parts = (
        ChangePart(change.key, milestone, amount, taxable)
        for (milestone, amount), taxable in zip(amounts.items(), taxed, strict=True)
    )
    return replace(plan, changes=(*plan.changes, change), parts=(*plan.parts, *parts))
