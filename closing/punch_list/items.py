"""The rules of a punch list: whose an item is, what may be held for it, and when the end may be signed.

What the contract asks for is the firm's to finish. What a client wishes beside it becomes a change order, or
is declined in writing; once its change is signed it is work like any other. What isn't ours is only noted.
For an item that isn't done, what it is worth can be held back, and no more: not to be paid for what is left
is a client's right, to keep the rest of the price for it isn't (common practice).
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from catalog.money.amounts import format_price

NO_MONEY = Decimal("0.00")
MOST_QUOTED = 60


class Whose(StrEnum):
    """Whose an item is."""

    SCOPE = "scope"
    WISH = "wish"
    NOT_OURS = "not_ours"


class State(StrEnum):
    """How an item stands."""

    OPEN = "open"
    DONE = "done"
    TO_DECIDE = "to decide"
    CHANGE = "on a change order"
    DECLINED = "declined"
    NOT_OURS = "not ours"


@dataclass(frozen=True)
class ListItem:
    """An item of a punch list. `worth` is what is held back until it is done, None where nothing was agreed.

    `has_change` says that a change order was begun for a wish, `is_signed` that one is signed; `answer` is
    what the client was told in writing of what isn't done.
    """

    key: int
    text: str
    whose: Whose = Whose.SCOPE
    worth: Decimal | None = None
    done_on: date | None = None
    has_change: bool = False
    is_signed: bool = False
    answer: str = ""

    @property
    def in_scope(self) -> bool:
        """Whether it is work that was signed for."""
        return self.whose == Whose.SCOPE or (self.whose == Whose.WISH and self.is_signed)

    @property
    def state(self) -> State:
        if self.in_scope:
            return State.DONE if self.done_on else State.OPEN
        if self.whose == Whose.NOT_OURS:
            return State.NOT_OURS
        if self.has_change:
            return State.CHANGE
        return State.DECLINED if self.answer else State.TO_DECIDE

    @property
    def is_left(self) -> bool:
        return self.state == State.OPEN

    @property
    def holds(self) -> Decimal:
        """What may be held back for it."""
        return (self.worth or NO_MONEY) if self.is_left else NO_MONEY

    @property
    def quoted(self) -> str:
        """The item as a sentence names it."""
        short = self.text if len(self.text) <= MOST_QUOTED else f"{self.text[: MOST_QUOTED - 1]}…"
        return f"“{short}”"


def left_of(items: Iterable[ListItem]) -> list[ListItem]:
    """Return the items that are still to do."""
    return [item for item in items if item.is_left]


def worth_of(items: Iterable[ListItem]) -> Decimal:
    """Return what the items that are still to do are worth."""
    return sum((item.holds for item in items), NO_MONEY)


def held_for(items: Iterable[ListItem], to_ask: Decimal) -> Decimal:
    """Return what is held back for items, where so much of the contract is still to be asked for."""
    return max(min(worth_of(items), to_ask), NO_MONEY)


def fault_of_worth(worth: Decimal, others: Iterable[ListItem], to_ask: Decimal) -> str:
    """Return why so much can't be held for an item beside the others; empty where it can.

    `to_ask` is what of the contract isn't asked for yet, with the retainage held.
    """
    room = max(to_ask - worth_of(others), NO_MONEY)
    if worth <= room:
        return ""
    if not room:
        return (
            "Nothing is left that could be held back: all of the contract is billed, or held for other "
            "items. Leave it empty, or type 0."
        )
    return (
        f"At most {format_price(room)} can be held for it: that is what isn't billed yet, less what is held "
        "for the other items. Type that or less."
    )


def why_not_over(items: Sequence[ListItem]) -> tuple[str, ...]:
    """Return why the end can't be signed yet, in plain sentences; empty where it can.

    It can once each item of the scope is done, or is left with what it is worth agreed on, and each wish has
    its answer.
    """
    reasons = []
    for item in items:
        if item.is_left and item.worth is None:
            reasons.append(
                f"{item.quoted} isn't done. Mark it done, or agree on what it is worth: that is held back "
                "until it is. 0 holds nothing."
            )
        elif item.state == State.TO_DECIDE:
            reasons.append(
                f"{item.quoted} is a new wish. Put it on a change order, or decline it in writing."
            )
    return tuple(reasons)
