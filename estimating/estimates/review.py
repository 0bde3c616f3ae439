"""The review of an estimate before it is issued: notes that don't prevent issuing, and can cost money."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.urls import reverse

from catalog.models import Firm, Package
from catalog.money.amounts import format_price
from catalog.rows.values import CatalogReader
from catalog.starter.published_hours import RestsOn
from catalog.starter.shipped import price_is_shipped
from estimating.estimates.checklist import check_estimate
from estimating.estimates.draft import Draft
from estimating.estimates.hours_basis import hours_parts
from estimating.estimates.proposed import PROPOSED
from estimating.estimates.snapshots import packages_bought
from estimating.floor_structure.floor import judge
from estimating.models import ClientSupply, Estimate
from estimating.plain_text import day_in_words
from estimating.pricing.hidden_condition_suggestions import work_like
from estimating.pricing.hidden_conditions import UNITS, PricedCondition, in_units, unit_cost
from estimating.takeoff.work import NO_MONEY, Override

MOST_NAMED = 6


@dataclass(frozen=True)
class ReviewNote:
    """A note as a sentence, and the page where it is answered: the words of its link, and its address."""

    words: str
    where: str
    address: str


def review_notes(estimate: Estimate, draft: Draft, firm: Firm, today: date) -> Iterator[ReviewNote]:
    """Yield the notes on an estimate.

    They name work that is usually needed and is neither put in nor set aside, amounts that were proposed,
    labor that is priced at nothing, a price below cost, also of a line and of one unit of a hidden
    condition, days that lie before the estimate's own, joists that don't carry the tile laid on them, hours
    that are guesses, and prices that are invented, or old on the day `today`.
    """
    check = check_estimate(estimate, draft)
    if missing := [suggested.assembly.name for suggested in (*check.companions, *check.before)]:
        yield ReviewNote(
            "Usually goes with this work, and is neither in the estimate nor marked “Not in this job”, so it "
            f"doesn't print as not included: {_list_names(missing)}.",
            "Go to the work",
            reverse("job-work", args=[estimate.job_id]),
        )
    if proposed := [work.title for work in draft.works if any(map(_is_proposed, work.overrides))]:
        yield ReviewNote(
            f"How much there is was proposed, and not counted by you, of: {_list_names(proposed)}.",
            "Go to the work",
            reverse("job-work", args=[estimate.job_id]),
        )
    price_page = reverse("job-price", args=[estimate.job_id])
    yield from _too_cheap(draft, price_page)
    yield from _conditions_too_cheap(draft, firm, reverse("hidden-conditions", args=[estimate.job_id]))
    if early := list(_days_too_early(estimate)):
        yield ReviewNote(
            f"Before the estimate's own date, {day_in_words(estimate.dated)}: {_list_names(early)}.",
            "Go to the price",
            price_page,
        )
    yield from _weak_floors(draft)
    yield from _guessed_hours(draft, estimate.job_id)
    yield from _unreliable_prices(draft, firm, today)


def _is_proposed(override: Override) -> bool:
    return override.reason.startswith(PROPOSED)


def _too_cheap(draft: Draft, price_page: str) -> Iterator[ReviewNote]:
    priced = draft.priced
    if priced.hours and not draft.policy.labor_rate:
        words = f"Labor is priced at nothing: {priced.hours} hours at {format_price(NO_MONEY)}."
        yield ReviewNote(words, "Go to the price", price_page)
    if priced.profit < 0:
        words = f"The price is {format_price(-priced.profit)} below what the work costs you."
        yield ReviewNote(words, "Go to the price", price_page)

    below = [
        f"{line.title}, {format_price(line.price)} against {format_price(line.cost)}"
        for line in priced.lines
        if line.price_by_hand is not None and line.price < line.cost
    ]
    if below:
        words = f"Priced by hand below what it costs you: {_list_names(below)}."
        yield ReviewNote(words, "Go to the price", price_page)


def _conditions_too_cheap(draft: Draft, firm: Firm, conditions_page: str) -> Iterator[ReviewNote]:
    """Name the hidden conditions whose typed price is below what the catalog makes of the same work."""
    said = list(filter(None, (_too_cheap_in_words(draft, firm, row) for row in draft.conditions)))
    if said:
        yield ReviewNote(f"Hidden conditions: {'; '.join(said)}.", "Go to hidden conditions", conditions_page)


def _too_cheap_in_words(draft: Draft, firm: Firm, condition: PricedCondition) -> str:
    """Say how a typed price stands beside the catalog's for the least of it; empty where it isn't below."""
    typed = f"{condition.name} at {format_price(condition.price)} {UNITS[condition.unit]}"
    if condition.unit == "hour":
        rate = draft.policy.labor_rate
        return f"{typed}, where an hour costs you {format_price(rate)}" if condition.price < rate else ""
    code = work_like(condition.name)
    if not code or condition.price_is_worked_out:
        return ""
    quantity = condition.least or condition.most
    try:
        assembly = CatalogReader(firm).assembly_by_code(code)
        cost, priced = unit_cost(assembly, quantity, condition.unit, draft.policy, draft.conventions)
    except (LookupError, ValueError):  # not in this catalog, hidden, or not counted in such a unit
        return ""
    if condition.price >= priced:
        return ""
    below = "less than it costs you" if condition.price < cost else "less than your catalog prices it at"
    return (
        f"{typed} is {below}: for {in_units(quantity, condition.unit)} the catalog makes it "
        f"{format_price(cost)} of cost and {format_price(priced)} of price"
    )


def _weak_floors(draft: Draft) -> Iterator[ReviewNote]:
    """Name the rooms whose joists are known and don't carry the floor that is laid there."""
    laid_in = {use.room for work in draft.works if work.phase == "floor" for use in work.rooms}
    for key, plan in draft.rooms.items():
        if plan.joists is not None and key in laid_in and not (answer := judge(plan.joists)).is_enough:
            address = reverse("room-floor", args=[key])
            yield ReviewNote(f"{plan.name}: {answer.words}", "Go to the floor", address)


def _guessed_hours(draft: Draft, job_id: int) -> Iterator[ReviewNote]:
    """Say how much of the labor rests on rates that came with the catalog as guesses."""
    parts = {part.on: part for part in hours_parts(draft.take_off.items_in_sum)}
    if guessed := parts[RestsOn.GUESSED].hours:
        shares = "; ".join(
            f"{part.label.lower()} {part.hours} h ({part.percent}%)" for part in parts.values() if part.hours
        )
        words = (
            f"{guessed} hours of the work are guesses that came with the catalog. "
            f"What the hours rest on: {shares}."
        )
        yield ReviewNote(words, "See which", reverse("job-hours-basis", args=[job_id]))


def _days_too_early(estimate: Estimate) -> Iterator[str]:
    """Name what is to be decided or brought before the estimate's own date. Costs three queries."""
    day = estimate.dated
    for allowance in estimate.allowances.filter(decide_by__lt=day):
        if allowance.decide_by:
            yield f"{allowance.name}, to be chosen by {day_in_words(allowance.decide_by)}"
    for item in estimate.items.filter(is_option=True, decide_by__lt=day):
        if item.decide_by:
            yield f"{item.title}, to be decided by {day_in_words(item.decide_by)}"
    supplies = ClientSupply.objects.filter(item__estimate=estimate, needed_by__lt=day)
    for supply in supplies.select_related("material"):
        if supply.needed_by:
            yield f"{supply.material.name}, needed on site by {day_in_words(supply.needed_by)}"


def _unreliable_prices(draft: Draft, firm: Firm, today: date) -> Iterator[ReviewNote]:
    """Name the materials at prices that came with the catalog, and at old prices. Costs a query."""
    packages = list(packages_bought(draft).select_related("material").order_by("material__name", "pk"))
    invented = [package for package in packages if price_is_shipped(package)]
    moved = [package for package in packages if package.estimated_by]
    old = [
        package
        for package in packages
        if package not in invented and package not in moved and firm.price_is_stale(package.priced_on, today)
    ]
    walk = reverse("price-walk")
    spent = _spent_by_package(draft)
    whole = sum(spent.values(), NO_MONEY)
    if invented:
        share = _share(invented, spent, whole)
        words = (
            f"{share} still at the invented price that came with the catalog: {_list_materials(invented)}."
        )
        yield ReviewNote(words, "Go through the prices", walk)
    if moved:
        words = f"{_share(moved, spent, whole)} estimated, moved by an index: {_list_materials(moved)}."
        yield ReviewNote(words, "Go through the prices", walk)
    if old:
        share = _share(old, spent, whole)
        words = (
            f"{share} at a price that wasn't asked for in {firm.stale_after_days} days: "
            f"{_list_materials(old)}."
        )
        yield ReviewNote(words, "Go through the prices", walk)


def _spent_by_package(draft: Draft) -> dict[str, Decimal]:
    """Return what is bought of each package, in dollars, by the key of its offer."""
    spent: dict[str, Decimal] = defaultdict(Decimal)
    for line in draft.take_off.materials:
        for offer, count in line.purchase.counts if line.purchase else ():
            spent[offer.key] += offer.price * count
    return spent


def _share(packages: Iterable[Package], spent: Mapping[str, Decimal], whole: Decimal) -> str:
    """Say how much of what is bought these packages are: "$120.00 of material (34%)"."""
    part = sum((spent.get(str(package.pk), NO_MONEY) for package in packages), NO_MONEY)
    percent = round(100 * part / whole) if whole else 0
    return f"{format_price(part)} of what is bought ({percent}%) is"


def _list_materials(packages: Iterable[Package]) -> str:
    return _list_names(list(dict.fromkeys(package.material.name for package in packages)))


def _list_names(names: list[str]) -> str:
    """Join names by semicolons, as some have commas in them; the rest of a long list is counted."""
    rest = len(names) - MOST_NAMED
    counted = [f"and {rest} more"] if rest > 0 else []
    return "; ".join([*names[:MOST_NAMED], *counted])
