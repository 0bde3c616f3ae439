"""What is worth a look before an estimate is issued: nothing of it stands in the way, all of it can cost."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from django.urls import reverse

from catalog.models import Firm, Package
from catalog.money.amounts import format_price
from catalog.starter.shipped import price_is_shipped
from estimating.estimates.checklist import check_estimate
from estimating.estimates.draft import Draft
from estimating.estimates.snapshots import packages_bought
from estimating.models import ClientSupply, Estimate
from estimating.plain_text import day_in_words
from estimating.takeoff.takeoff import NO_MONEY

MOST_NAMED = 6


@dataclass(frozen=True)
class Reminder:
    """A sentence, and the page where it is answered."""

    words: str
    where: str
    address: str


def reminders(estimate: Estimate, draft: Draft, firm: Firm, today: date) -> Iterator[Reminder]:
    """Work that is usually needed and neither put in nor set aside, labor that is priced at nothing, a price
    below cost, days that lie before the estimate's own, and prices that are invented or old on the day
    `today`."""
    job = estimate.job_id
    check = check_estimate(estimate, draft)
    if lacking := [each.assembly.name for each in (*check.companions, *check.before)]:
        yield Reminder(
            "Usually goes with this work, and is neither in the estimate nor set aside, so it doesn't print "
            f"as not included: {_named(lacking)}.",
            "Go to the work",
            reverse("job-work", args=[job]),
        )
    yield from _too_cheap(draft, reverse("job-price", args=[job]))
    if early := list(_too_early(estimate)):
        yield Reminder(
            f"Before the estimate's own date, {day_in_words(estimate.dated)}: {_named(early)}.",
            "Go to the price",
            reverse("job-price", args=[job]),
        )
    packages = list(packages_bought(draft).select_related("material").order_by("material__name", "pk"))
    invented = [each for each in packages if price_is_shipped(each)]
    old = [each for each in packages if each not in invented and firm.price_is_stale(each.priced_on, today)]
    if invented:
        yield _prices(f"Still at the invented price that came with the catalog: {_materials(invented)}.")
    if old:
        yield _prices(f"At a price that wasn't asked for in {firm.stale_after_days} days: {_materials(old)}.")


def _too_cheap(draft: Draft, price_page: str) -> Iterator[Reminder]:
    priced = draft.priced
    if priced.hours and not draft.policy.labor_rate:
        words = f"Labor is priced at nothing: {priced.hours} hours at {format_price(NO_MONEY)}."
        yield Reminder(words, "Go to the price", price_page)
    if priced.profit < 0:
        words = f"The price is {format_price(-priced.profit)} below what the work costs you."
        yield Reminder(words, "Go to the price", price_page)


def _too_early(estimate: Estimate) -> Iterator[str]:
    dated = estimate.dated
    for allowance in estimate.allowances.filter(decide_by__lt=dated):
        yield f"{allowance.name}, to be chosen by {day_in_words(allowance.decide_by)}"
    for item in estimate.items.filter(is_option=True, decide_by__lt=dated):
        yield f"{item.title}, to be decided by {day_in_words(item.decide_by)}"
    supplies = ClientSupply.objects.filter(item__estimate=estimate, needed_by__lt=dated)
    for supply in supplies.select_related("material"):
        yield f"{supply.material.name}, needed on site by {day_in_words(supply.needed_by)}"


def _prices(words: str) -> Reminder:
    return Reminder(words, "Go to the materials", reverse("materials"))


def _materials(packages: Iterable[Package]) -> str:
    return _named(list(dict.fromkeys(each.material.name for each in packages)))


def _named(names: list[str]) -> str:
    """The names with semicolons between, as some have commas in them; the rest of a long list as a count."""
    more = len(names) - MOST_NAMED
    rest = [f"and {more} more"] if more > 0 else []
    return "; ".join([*names[:MOST_NAMED], *rest])
