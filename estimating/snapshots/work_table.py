"""The table of an estimate: what is done and what it costs in the same row, under phases with subtotals.

It is read from a snapshot, so that papers which were issued before are set in it too. It adds nothing to
what the snapshot shows: where the client sees no price of a row or a phase, it has none.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from typing import Any

ALLOWANCE = "Allowance: "


@dataclass(frozen=True)
class TableRow:
    """A row of the table.

    `price` is empty where the client doesn't see it; `repeats` says that it stands with the same number in
    an earlier group. `allowance` is the snapshot's own row of it, for what it covers.
    """

    number: str
    title: str
    amount: str = ""
    text: tuple[str, ...] = ()
    price: str = ""
    repeats: bool = False
    allowance: Mapping[str, str] | None = None


@dataclass(frozen=True)
class TableGroup:
    """The rows of a phase or a room; `price` is their sum, empty where it isn't shown."""

    heading: str
    rows: tuple[TableRow, ...]
    price: str = ""


@dataclass(frozen=True)
class ChangeTableRow:
    """A row of a change order: what is done, and what it adds or takes away by which rule."""

    title: str
    rule: str
    price: str
    number: str = ""
    amount: str = ""
    text: tuple[str, ...] = ()


def change_table(snapshot: Mapping[str, Any]) -> list[ChangeTableRow]:
    """Return the rows of a change order, each with the description of its work where there is one.

    What is bought for a work that was picked stands after it.
    """
    place = _only_place(snapshot)
    works = [work for group in snapshot["scope"] for work in group["work"]]
    by_number = {work["number"]: _row(work, place) for work in works if work["number"]}
    by_title = {work["title"]: _row(work, place) for work in works if not work["number"]}
    rows = []
    first: dict[str, int] = {}
    for place_in_order, row in enumerate(snapshot["prices"]):
        first.setdefault(_bare(row) or row["label"], place_in_order)

    def picked_first(row: Mapping[str, str]) -> tuple[int, bool]:
        return first[_bare(row) or row["label"]], bool(row["number"])

    for row in sorted(snapshot["prices"], key=picked_first):
        work = by_number.get(row["number"]) or by_title.get(_bare(row))
        rows.append(
            ChangeTableRow(
                title=row["label"],
                rule=row["rule"],
                price=row["price"],
                number=row["number"],
                amount=work.amount if work else "",
                text=work.text if work else (),
            )
        )
    return rows


def _bare(row: Mapping[str, str]) -> str:
    """Return the title of the work behind a label such as "Found: " has; empty where there is none."""
    return row["label"].partition(": ")[2]


def work_table(snapshot: Mapping[str, Any]) -> list[TableGroup]:
    """Return the groups of the table, in the order of the work. Shown prices sum to the subtotal."""
    place = _only_place(snapshot)
    groups = {group["heading"]: [_row(work, place) for work in group["work"]] for group in snapshot["scope"]}
    by_phase = _headings_are_phases(snapshot)
    if snapshot["detail"] == "line":
        return _priced_by_line(snapshot, groups, by_phase)
    plain = [TableGroup(heading, tuple(rows)) for heading, rows in groups.items()]
    if snapshot["detail"] == "phase" and by_phase:
        sums = {row["label"]: row["price"] for row in snapshot["prices"]}
        priced = [replace(group, price=sums.pop(group.heading, "")) for group in plain]
        return _in_order_of_prices(snapshot, [*priced, *(TableGroup(h, (), p) for h, p in sums.items())])
    return [*plain, *(TableGroup(row["label"], (), row["price"]) for row in snapshot["prices"])]


def phase_sums(snapshot: Mapping[str, Any]) -> list[tuple[str, Decimal]]:
    """Return what the client pays for each phase, in order; empty where the paper doesn't show it."""
    if snapshot["detail"] == "total":
        return []
    if snapshot["detail"] == "phase":
        return [(row["label"], Decimal(row["price"])) for row in snapshot["prices"]]
    if not _headings_are_phases(snapshot) and not all(row.get("phase") for row in snapshot["prices"]):
        return []
    sums: dict[str, Decimal] = {}
    for row, heading in zip(snapshot["prices"], phases_of_rows(snapshot), strict=True):
        sums[heading] = sums.get(heading, Decimal()) + Decimal(row["price"])
    return list(sums.items())


def _headings_are_phases(snapshot: Mapping[str, Any]) -> bool:
    """Return whether the scope stands under phases and not under rooms: then each number stands once."""
    if "scope_by" in snapshot:
        return bool(snapshot["scope_by"] == "work")
    headings = [group["heading"] for group in snapshot["scope"]]
    if snapshot["detail"] == "phase":
        return bool(set(headings) & {row["label"] for row in snapshot["prices"]})
    numbers = [int(work["number"]) for group in snapshot["scope"] for work in group["work"]]
    return numbers == sorted(set(numbers))


def phases_of_rows(snapshot: Mapping[str, Any]) -> list[str]:
    """Return the phase of each row of the prices.

    Papers from before rows named theirs have them in the order of the phases: what has no number stands
    after the work of its own.
    """
    if all("phase" in row for row in snapshot["prices"]):
        return [row["phase"] for row in snapshot["prices"]]
    headings = {work["number"]: group["heading"] for group in snapshot["scope"] for work in group["work"]}
    phases, last = [], snapshot["scope"][0]["heading"] if snapshot["scope"] else "The work"
    for row in snapshot["prices"]:
        last = headings.get(row["number"], last)
        phases.append(last)
    return phases


def _priced_by_line(
    snapshot: Mapping[str, Any], groups: Mapping[str, Sequence[TableRow]], by_phase: bool
) -> list[TableGroup]:
    prices = {row["number"]: row["price"] for row in snapshot["prices"] if row["number"]}
    allowances = {f"{ALLOWANCE}{allowance['name']}": allowance for allowance in snapshot["allowances"]}
    shown: set[str] = set()
    filled: dict[str, list[TableRow]] = {}
    for heading, rows in groups.items():
        filled[heading] = []
        for row in rows:
            again = row.number in shown
            shown.add(row.number)
            filled[heading].append(replace(row, price="" if again else prices[row.number], repeats=again))
    phases = phases_of_rows(snapshot) if by_phase else ["Besides"] * len(snapshot["prices"])
    for row, heading in zip(snapshot["prices"], phases, strict=True):
        if row["number"]:
            continue
        allowance = allowances.get(row["label"])
        filled.setdefault(heading, []).append(
            TableRow("", row["label"], price=row["price"], allowance=allowance)
        )
    order = dict.fromkeys([*phases, *filled] if by_phase else filled)
    made = [TableGroup(heading, tuple(filled[heading])) for heading in order if filled.get(heading)]
    if any(row.repeats for group in made for row in group.rows):
        return made  # a price that stands in one room is for several: no sum of a room would be true
    return [replace(group, price=_sum(group.rows)) for group in made]


def _in_order_of_prices(snapshot: Mapping[str, Any], groups: Sequence[TableGroup]) -> list[TableGroup]:
    order = {row["label"]: place for place, row in enumerate(snapshot["prices"])}
    return sorted(groups, key=lambda group: order.get(group.heading, len(order)))


def _sum(rows: Sequence[TableRow]) -> str:
    return f"{sum((Decimal(row.price) for row in rows), Decimal()):.2f}"


def _only_place(snapshot: Mapping[str, Any]) -> str:
    """Return the room that all work is in, which no row need name; empty where there are several."""
    places = {work["where"] for group in snapshot["scope"] for work in group["work"]} - {""}
    if not places:
        return ""
    shortest = min(places, key=len)
    alone = all(place == shortest or place.startswith(f"{shortest}, wall") for place in places)
    return str(shortest) if alone else ""


def _row(work: Mapping[str, Any], place: str) -> TableRow:
    where = work["where"]
    if place:
        where = where.removeprefix(place).removeprefix(", ")
    amount = " · ".join(filter(None, (work["quantity"], where)))
    return TableRow(work["number"], work["title"], amount, tuple(work["text"]))
