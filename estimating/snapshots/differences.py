"""What changed between two estimates, from what their papers show and from nothing else."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import Any

MOST_REPRICED = 8
_WORDS = (
    ("Names, addresses or dates", ("firm", "client", "job", "valid_to")),
    ("What you bring", ("client_brings",)),
    ("Not included", ("not_included",)),
    ("Left as it is", ("left_as_is",)),
    ("How prices are shown", ("detail",)),
    ("Sales tax", ("tax_note",)),
    ("What the price rests on", ("assumptions",)),
    ("Cautions", ("cautions",)),
    ("How it is paid", ("payments",)),
    ("If something changes", ("changes",)),
    ("Terms", ("terms",)),
    ("The right to cancel", ("cancellation",)),
    ("What was opened and looked at", ("opened", "opened_photos")),
)


@dataclass(frozen=True)
class Listed:
    """Something that a paper lists. `price` is empty where the paper gives it none of its own; `words`
    is all else that is said of it."""

    label: str
    price: str = ""
    words: tuple = ()


@dataclass(frozen=True)
class Repriced:
    """A price that changed; `before` or `after` is empty where there was none or is none any more."""

    label: str
    before: str
    after: str


@dataclass(frozen=True)
class Revision:
    """What changed. `reworded` names the work and the parts of the paper that read otherwise now."""

    added: tuple[Listed, ...]
    dropped: tuple[Listed, ...]
    repriced: tuple[Repriced, ...]
    reworded: tuple[str, ...]
    total_before: str
    total_after: str

    def __bool__(self) -> bool:
        """Whether anything changed."""
        lists = (self.added, self.dropped, self.repriced, self.reworded)
        return any(lists) or self.total_before != self.total_after

    def on_paper(self, number: str, dated: str) -> dict[str, Any]:
        """The same as plain text for the new paper; `number` and `dated` are those of the earlier. Where
        most prices moved, such as with the hourly rate, the paper says only how many."""
        many = len(self.repriced) > MOST_REPRICED
        return {
            "number": number,
            "dated": dated,
            "added": [{"label": each.label, "price": each.price} for each in self.added],
            "dropped": [{"label": each.label, "price": each.price} for each in self.dropped],
            "repriced": [
                {"label": each.label, "before": each.before, "after": each.after}
                for each in (() if many else self.repriced)
            ],
            "repriced_count": f"{len(self.repriced)}" if many else "",
            "reworded": list(self.reworded),
            "total_before": self.total_before,
            "total_after": self.total_after,
        }


def compare(old: Mapping[str, Any], new: Mapping[str, Any]) -> Revision:
    """What the paper `new` changes of the paper `old`. Work is known again by its title."""
    before, after = _listed(old), _listed(new)
    kept = list(_pairs(before, after))
    rows = [] if old["detail"] != new["detail"] else _changed_rows(_other_rows(old), _other_rows(new))
    reworded = [now.label for then, now in kept if then.words != now.words]
    reworded += [name for name, keys in _WORDS if any(_says(old, key) != _says(new, key) for key in keys)]
    return Revision(
        added=tuple(_missing_in(before, after)),
        dropped=tuple(_missing_in(after, before)),
        repriced=(
            *(
                Repriced(now.label, then.price, now.price)
                for then, now in kept
                if then.price and now.price and then.price != now.price
            ),
            *rows,
        ),
        reworded=tuple(reworded),
        total_before=old["total"],
        total_after=new["total"],
    )


def line_by_line(paper: Mapping[str, Any], basis: Mapping[str, Any]) -> dict[str, Any]:
    """The paper with a price for each line, whatever its client sees: for the firm's own comparison."""
    numbers = count(1)
    rows = [
        {
            "number": f"{next(numbers)}" if line["kind"] == "work" else "",
            "label": f"Allowance: {line['title']}" if line["kind"] == "allowance" else line["title"],
            "price": line["price"],
        }
        for line in basis["lines"]
    ]
    return {**paper, "detail": "line", "prices": rows}


def _listed(paper: Mapping[str, Any]) -> list[Listed]:
    """The work, allowances, options and conditions of a paper, each once."""
    prices: dict[str, str] = {row["number"]: row["price"] for row in paper["prices"] if row["number"]}
    works: dict[str, list[Mapping[str, Any]]] = {}
    for group in paper["scope"]:
        for item in group["work"]:
            works.setdefault(item["number"], []).append(item)
    return [
        *(
            Listed(items[0]["title"], prices.get(number, ""), tuple(map(_work_words, items)))
            for number, items in works.items()
        ),
        *(
            Listed(
                f"Allowance: {each['name']}",
                each["price"],
                (each["inside"], each["outside"], each["decide_by"]),
            )
            for each in paper["allowances"]
        ),
        *(
            Listed(
                f"Option: {each['title']}",
                each["price"],
                (*_work_words(each), each["tax"], each["decide_by"]),
            )
            for each in paper["options"]
        ),
        *(
            Listed(
                f"If we find: {each['name']}, {each['per']}",
                each["price"],
                (each.get("least", ""), each["most"], each["extra"], each["tax"], each["caution"]),
            )
            for each in paper.get("if_found", ())
        ),
    ]


def _says(paper: Mapping[str, Any], key: str) -> Any:
    """A part of a paper; one issued before papers had it says as little as one where it is empty."""
    return paper.get(key) or None


def _work_words(item: Mapping[str, Any]) -> tuple:
    return (item["where"], item["quantity"], tuple(item["text"]))


def _other_rows(paper: Mapping[str, Any]) -> list[Listed]:
    """The rows of the price that stand for no listed thing alone: phases, trips, contingency, tax."""
    allowances = {f"Allowance: {each['name']}" for each in paper["allowances"]}
    rows = [
        Listed(row["label"], row["price"])
        for row in paper["prices"]
        if not row["number"] and row["label"] not in allowances
    ]
    return [*rows, *([Listed("Sales tax", paper["tax"]["amount"])] if paper["tax"] else [])]


def _changed_rows(before: Sequence[Listed], after: Sequence[Listed]) -> list[Repriced]:
    changed = [
        Repriced(now.label, then.price, now.price)
        for then, now in _pairs(before, after)
        if then.price != now.price
    ]
    new = [Repriced(each.label, "", each.price) for each in _missing_in(before, after)]
    gone = [Repriced(each.label, each.price, "") for each in _missing_in(after, before)]
    return [*changed, *new, *gone]


def _missing_in(known: Iterable[Listed], these: Iterable[Listed]) -> list[Listed]:
    """Those of `these` that `known` lacks; of several with one label the last ones are missing."""
    left = Counter(each.label for each in known)
    missing = []
    for each in these:
        left[each.label] -= 1
        if left[each.label] < 0:
            missing.append(each)
    return missing


def _pairs(before: Iterable[Listed], after: Iterable[Listed]) -> Iterable[tuple[Listed, Listed]]:
    """Those with one label in both, the first with the first."""
    waiting: dict[str, list[Listed]] = {}
    for each in before:
        waiting.setdefault(each.label, []).append(each)
    for each in after:
        if waiting.get(each.label):
            yield waiting[each.label].pop(0), each
