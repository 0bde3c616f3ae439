"""What changed between two estimates, from their snapshots and from nothing else."""

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Any

MOST_REPRICED = 8
# Parts of an estimate that a revision only names where they read otherwise, with their keys in a snapshot.
_SECTIONS = (
    ("Names, addresses or dates", ("firm", "client", "job", "valid_to")),
    ("What you bring", ("client_brings",)),
    ("Not included", ("not_included",)),
    ("Existing to remain", ("left_as_is",)),
    ("How prices are shown", ("detail",)),
    ("Sales tax", ("tax_note",)),
    ("Assumptions", ("assumptions",)),
    ("Cautions", ("cautions",)),
    ("Payment schedule", ("payments",)),
    ("If something changes", ("changes",)),
    ("Terms", ("terms",)),
    ("The right to cancel", ("cancellation",)),
    ("What was opened and looked at", ("opened", "opened_photos")),
    ("Photos", ("photos",)),
    ("Cabinets and appliances", ("cabinets", "appliances")),
    ("How the walls look", ("walls",)),
)


@dataclass(frozen=True)
class ListedItem:
    """Something that an estimate lists.

    `price` is empty where the estimate gives it none of its own; `words` is all else that it says of it.
    """

    label: str
    price: str = ""
    words: tuple[object, ...] = ()


@dataclass(frozen=True)
class RepricedItem:
    """A price that changed; `before` is empty where there was none, `after` where there is none any more."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Revision:
    """What changed; `reworded` names the work and the parts of the estimate that read otherwise now."""

    added: tuple[ListedItem, ...]
    dropped: tuple[ListedItem, ...]
    repriced: tuple[RepricedItem, ...]
    reworded: tuple[str, ...]
    total_before: str
    total_after: str

    def __bool__(self) -> bool:
        """Tell whether anything changed."""
        lists = (self.added, self.dropped, self.repriced, self.reworded)
        return any(lists) or self.total_before != self.total_after

    def snapshot(self, number: str, dated: str) -> dict[str, Any]:
        """Return what changed as the snapshot of the new estimate keeps it.

        `number` and `dated` are those of the earlier estimate. Where most prices moved, such as with the
        hourly rate, the new one says only how many.
        """
        many = len(self.repriced) > MOST_REPRICED
        return {
            "number": number,
            "dated": dated,
            "added": [{"label": item.label, "price": item.price} for item in self.added],
            "dropped": [{"label": item.label, "price": item.price} for item in self.dropped],
            "repriced": [
                {"label": item.label, "before": item.before, "after": item.after}
                for item in (() if many else self.repriced)
            ],
            "repriced_count": f"{len(self.repriced)}" if many else "",
            "reworded": list(self.reworded),
            "total_before": self.total_before,
            "total_after": self.total_after,
        }


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> Revision:
    """Compare the snapshots of two estimates. Work is recognized by its title."""
    before, after = _listed_items(old), _listed_items(new)
    kept = list(_pairs(before, after))
    reworded = [now.label for then, now in kept if then.words != now.words]
    reworded += [
        name for name, keys in _SECTIONS if any(_section(old, key) != _section(new, key) for key in keys)
    ]
    repriced = [
        RepricedItem(now.label, then.price, now.price)
        for then, now in kept
        if then.price and now.price and then.price != now.price
    ]
    if old["detail"] == new["detail"]:
        repriced += _repriced_rows(_other_rows(old), _other_rows(new))
    return Revision(
        added=tuple(_missing_in(before, after)),
        dropped=tuple(_missing_in(after, before)),
        repriced=tuple(repriced),
        reworded=tuple(reworded),
        total_before=old["total"],
        total_after=new["total"],
    )


def with_line_prices(snapshot: Mapping[str, Any], basis: Mapping[str, Any]) -> dict[str, Any]:
    """Return the snapshot with a price for each line, whatever its client sees, from its price basis.

    It is for the firm's own comparison.
    """
    numbers = count(1)
    rows = [
        {
            "number": f"{next(numbers)}" if line["kind"] == "work" else "",
            "label": f"Allowance: {line['title']}" if line["kind"] == "allowance" else line["title"],
            "price": line["price"],
        }
        for line in basis["lines"]
    ]
    return {**snapshot, "detail": "line", "prices": rows}


def _listed_items(snapshot: Mapping[str, Any]) -> list[ListedItem]:
    """Return the work, allowances, options and hidden conditions of an estimate, each once."""
    prices: dict[str, str] = {row["number"]: row["price"] for row in snapshot["prices"] if row["number"]}
    works: dict[str, list[Mapping[str, Any]]] = {}
    for group in snapshot["scope"]:
        for row in group["work"]:
            works.setdefault(row["number"], []).append(row)
    return [
        *(
            ListedItem(rows[0]["title"], prices.get(number, ""), tuple(map(_work_words, rows)))
            for number, rows in works.items()
        ),
        *(
            ListedItem(
                f"Allowance: {allowance['name']}",
                allowance["price"],
                (allowance["inside"], allowance["outside"], allowance["decide_by"]),
            )
            for allowance in snapshot["allowances"]
        ),
        *(
            ListedItem(
                f"Option: {option['title']}",
                option["price"],
                (
                    *_work_words(option),
                    *((part["title"], *_work_words(part)) for part in option.get("parts", ())),
                    option["tax"],
                    option["decide_by"],
                ),
            )
            for option in snapshot["options"]
        ),
        *(_condition_item(condition) for condition in snapshot.get("if_found", ())),
    ]


def _condition_item(condition: Mapping[str, str]) -> ListedItem:
    return ListedItem(
        f"Hidden condition: {condition['name']}, {condition['per']}",
        condition["price"],
        (
            condition.get("least", ""),
            condition["most"],
            condition["extra"],
            condition["tax"],
            condition["caution"],
        ),
    )


def _section(snapshot: Mapping[str, Any], key: str) -> Any:
    """Return a part of an estimate; None where it is empty, or where an older snapshot doesn't have it.

    How a paper looks is no part of what it says.
    """
    part = snapshot.get(key) or None
    if key == "firm" and part:
        return {name: value for name, value in part.items() if name not in ("logo", "color")}
    return part


def _work_words(row: Mapping[str, Any]) -> tuple[object, ...]:
    return (row["where"], row["quantity"], tuple(row["text"]))


def _other_rows(snapshot: Mapping[str, Any]) -> list[ListedItem]:
    """Return the rows of the price that belong to no listed item: phases, trips, contingency, tax."""
    allowances = {f"Allowance: {allowance['name']}" for allowance in snapshot["allowances"]}
    rows = [
        ListedItem(row["label"], row["price"])
        for row in snapshot["prices"]
        if not row["number"] and row["label"] not in allowances
    ]
    return [*rows, *([ListedItem("Sales tax", snapshot["tax"]["amount"])] if snapshot["tax"] else [])]


def _repriced_rows(before: Sequence[ListedItem], after: Sequence[ListedItem]) -> list[RepricedItem]:
    changed = [
        RepricedItem(now.label, then.price, now.price)
        for then, now in _pairs(before, after)
        if then.price != now.price
    ]
    new = [RepricedItem(item.label, "", item.price) for item in _missing_in(before, after)]
    gone = [RepricedItem(item.label, item.price, "") for item in _missing_in(after, before)]
    return [*changed, *new, *gone]


def _missing_in(known: Iterable[ListedItem], items: Iterable[ListedItem]) -> list[ListedItem]:
    """Return the items that `known` lacks; of several with one label the last ones are missing."""
    left = Counter(item.label for item in known)
    missing = []
    for item in items:
        left[item.label] -= 1
        if left[item.label] < 0:
            missing.append(item)
    return missing


def _pairs(
    before: Iterable[ListedItem], after: Iterable[ListedItem]
) -> Iterator[tuple[ListedItem, ListedItem]]:
    """Pair the items that have one label in both, the first with the first."""
    waiting: dict[str, list[ListedItem]] = {}
    for item in before:
        waiting.setdefault(item.label, []).append(item)
    for item in after:
        if waiting.get(item.label):
            yield waiting[item.label].pop(0), item
