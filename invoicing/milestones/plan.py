"""The payment schedule: milestones that sum to the contract sum, to the cent, with every signed change.

All amounts are before sales tax, which each bill adds to what it asks for; `taxable` is the part of an
amount that is taxed.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from catalog.money.amounts import format_price, round_cents, split_cents

NO_MONEY = Decimal("0.00")


def sum_money(amounts: Iterable[Decimal]) -> Decimal:
    """Return the sum of amounts; $0.00 where there are none."""
    return sum(amounts, NO_MONEY)


class PlanFault(ValueError):
    """The plan is not valid; the message says in a plain sentence what would be right."""


@dataclass(frozen=True)
class MilestoneTerm:
    """What one milestone asks for: a share of the signed sum, an amount or, without either, the balance."""

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
    """A milestone of a plan; `base` is its part of the signed estimate, without changes."""

    key: str
    name: str
    condition: str
    base: Decimal
    base_taxable: Decimal = NO_MONEY
    is_deposit: bool = False


@dataclass(frozen=True)
class SignedChange:
    """A signed change, or a part of one.

    One for time and material is billed by hours and receipts as they come; `amount` is then its limit or,
    where it `is_settled`, what it came to.
    """

    key: str
    title: str
    amount: Decimal
    taxable: Decimal = NO_MONEY
    is_time_and_material: bool = False
    is_settled: bool = False


@dataclass(frozen=True)
class ChangePart:
    """The part of a signed change that is billed with one milestone."""

    change: str
    milestone: str
    amount: Decimal
    taxable: Decimal = NO_MONEY


@dataclass(frozen=True)
class Plan:
    """Milestones and signed changes that sum to the contract sum; raises PlanFault where they don't.

    `retainage` is the share held back from each bill for work, but not from a deposit. `deposit` is asked
    for before the work and taken off later bills; a deposit that is just the first payment is a milestone
    with `is_deposit`.
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
        if len({milestone.key for milestone in self.milestones}) != len(self.milestones):
            raise PlanFault("Two milestones have the same key.")
        base = sum_money(milestone.base for milestone in self.milestones)
        if base != self.signed_sum:
            raise PlanFault(
                f"The milestones come to {format_price(base)}; the signed sum is "
                f"{format_price(self.signed_sum)}."
            )
        self._check_changes()

    def _check_changes(self) -> None:
        for change in self.changes:
            placed = sum_money(part.amount for part in self.parts if part.change == change.key)
            if placed != change.amount:
                raise PlanFault(
                    f"{change.title} is {format_price(change.amount)}, of which {format_price(placed)} "
                    "has a place in the plan."
                )
        milestones = {milestone.key for milestone in self.milestones}
        changes = {change.key for change in self.changes}
        if any(part.milestone not in milestones or part.change not in changes for part in self.parts):
            raise PlanFault("A change stands with a milestone that isn't in the plan.")

    @property
    def contract_sum(self) -> Decimal:
        """The signed estimate with every signed change."""
        return self.signed_sum + sum_money(change.amount for change in self.changes)

    @property
    def deposit_asked(self) -> Decimal:
        """What is asked for before the work begins; no retainage is held from it.

        This is the deposit that later bills take off and the milestones that are deposits.
        """
        return self.deposit + sum_money(row.base for row in self.milestones if row.is_deposit)

    @property
    def deposit_taxable(self) -> Decimal:
        """The part of `deposit_asked` that is taxed."""
        first = sum_money(row.base_taxable for row in self.milestones if row.is_deposit)
        return first + (self.taxable_of_deposit(self.deposit) if self.deposit else NO_MONEY)

    def taxable_of_deposit(self, amount: Decimal) -> Decimal:
        """Return the part of a deposit taken off later that is taxed, to the cent: as of the signed sum."""
        taxable = sum_money(milestone.base_taxable for milestone in self.milestones)
        return round_cents(Fraction(taxable) * Fraction(amount) / Fraction(self.signed_sum))

    def milestone(self, key: str) -> Milestone:
        """Return a milestone by its key. Raises PlanFault when the plan has none."""
        for milestone in self.milestones:
            if milestone.key == key:
                return milestone
        raise PlanFault(f"There is no milestone {key} in this plan.")

    def change(self, key: str) -> SignedChange:
        """Return a signed change by its key. Raises PlanFault when the plan has none."""
        for change in self.changes:
            if change.key == key:
                return change
        raise PlanFault(f"There is no signed change {key} in this plan.")

    def parts_of(self, milestone: str) -> tuple[ChangePart, ...]:
        """Return the parts of signed changes that are billed with a milestone."""
        return tuple(part for part in self.parts if part.milestone == milestone)

    def part_title(self, part: ChangePart) -> str:
        """Name a part of a signed change; of one with several parts: "Change order 2, Rot, part 1 of 3"."""
        parts, title = self._parts_of_change(part.change), self.change(part.change).title
        return title if len(parts) == 1 else f"{title}, part {parts.index(part) + 1} of {len(parts)}"

    def spread_in_words(self, change: str) -> str:
        """Say of a change with several parts what it comes to in all; empty for any other."""
        parts = self._parts_of_change(change)
        if len(parts) < 2:
            return ""
        return f"{format_price(self.change(change).amount)} in all, spread over {len(parts)} payments."

    def _parts_of_change(self, change: str) -> list[ChangePart]:
        return [part for part in self.parts if part.change == change]

    def amount(self, milestone: str) -> Decimal:
        """Return what a milestone comes to with the changes placed there."""
        return self.milestone(milestone).base + sum_money(part.amount for part in self.parts_of(milestone))


def draw_plan(
    signed_sum: Decimal,
    terms: Sequence[MilestoneTerm],
    taxable: Decimal = NO_MONEY,
    retainage: Fraction = Fraction(0),
    deposit: Decimal = NO_MONEY,
) -> Plan:
    """Return the plan that these terms make of a signed sum, of which `taxable` is taxed.

    Raises PlanFault for terms that can't sum to it.
    """
    amounts = milestone_amounts(signed_sum, terms)
    taxed = split_in_proportion(taxable, amounts)
    milestones = tuple(
        Milestone(term.key, term.name, term.condition, base, base_taxable, term.is_deposit)
        for term, base, base_taxable in zip(terms, amounts, taxed, strict=True)
    )
    return Plan(signed_sum, milestones, retainage=retainage, deposit=deposit)


def milestone_amounts(signed_sum: Decimal, terms: Sequence[MilestoneTerm]) -> list[Decimal]:
    """Return the amount of each milestone; together they are the signed sum.

    Cents are given out by largest remainder, ties to the last. Raises PlanFault for no milestone, for
    shares alone that aren't 100 %, for amounts alone that aren't the sum, for both without a balance to
    take the rest, for more than one balance, and for more than the sum.
    """
    _check_terms(signed_sum, terms)
    fixed = sum_money(term.amount for term in terms if term.amount is not None)
    shares = {term.key: term.share * Fraction(signed_sum) for term in terms if term.share is not None}
    rest = Fraction(signed_sum - fixed) - sum(shares.values(), Fraction(0))
    if rest < 0:
        raise PlanFault(_too_much(signed_sum, terms))
    if rest and not any(term.is_balance for term in terms):
        raise PlanFault(_no_balance(signed_sum, terms, fixed))
    shared = [term for term in terms if term.amount is None]
    weights = [shares.get(term.key, rest) for term in shared]
    parts = dict(
        zip((term.key for term in shared), split_in_proportion(signed_sum - fixed, weights), strict=True)
    )
    return [parts[term.key] if term.amount is None else term.amount for term in terms]


def _check_terms(signed_sum: Decimal, terms: Sequence[MilestoneTerm]) -> None:
    if not terms:
        raise PlanFault("A schedule needs at least one milestone.")
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
            raise PlanFault(f"{term.name} is below zero: a milestone has an amount.")


def _percent(terms: Sequence[MilestoneTerm]) -> Decimal:
    """Return the sum of the shares in percent, rounded half-up to two decimals."""
    return round_cents(100 * sum((term.share for term in terms if term.share is not None), Fraction(0)))


def _too_much(signed_sum: Decimal, terms: Sequence[MilestoneTerm]) -> str:
    if all(term.share is not None for term in terms):
        return f"The shares come to {_percent(terms)} %: they must come to 100 %. Lower one of them."
    return f"The milestones come to more than {format_price(signed_sum)}: lower one of them."


def _no_balance(signed_sum: Decimal, terms: Sequence[MilestoneTerm], fixed: Decimal) -> str:
    percent = _percent(terms)
    if all(term.share is not None for term in terms):
        return f"The shares come to {percent} %: they must come to 100 %, or make one the balance."
    if not percent:
        return (
            f"The amounts come to {format_price(fixed)} of {format_price(signed_sum)}: make one the balance."
        )
    return "Shares and amounts together leave a rest: make one milestone the balance."


def split_in_proportion(total: Decimal, weights: Sequence[Fraction | Decimal]) -> list[Decimal]:
    """Split an amount in proportion to weights, to the cent, so that the parts sum to it.

    Cents go by largest remainder, ties to the last part: the last payment takes the cent (common practice).
    """
    if not total:
        return [NO_MONEY] * len(weights)
    return split_cents(total, [abs(Fraction(weight)) for weight in reversed(weights)])[::-1]
