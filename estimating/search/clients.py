"""The clients to choose from where there are too many to list."""

from collections.abc import Collection
from dataclasses import dataclass

from django.db.models import Count, Max

from estimating.models import Client
from estimating.models.job import ClientQuerySet

MOST_LISTED = 40  # so many are all listed
MOST_FOUND = 20


@dataclass(frozen=True)
class ClientChoice:
    """Clients to choose from: all, those of the newest jobs, or those that have the `words`.

    `left_out` counts those found and not listed.
    """

    clients: tuple[Client, ...]
    words: str = ""
    are_all: bool = True
    left_out: int = 0


def clients_to_choose_from(words: str, picked: Collection[str | int] = ()) -> ClientChoice:
    """Return the clients to choose from; those picked before, by primary key, come first.

    Costs a query where there are few, else up to four.
    """
    listed = tuple(Client.objects.all()[: MOST_LISTED + 1])
    if len(listed) <= MOST_LISTED:
        return ClientChoice(listed)
    known = [
        key for key in picked if isinstance(key, int) or (key.isascii() and key.isdigit() and len(key) < 19)
    ]
    chosen = tuple(Client.objects.filter(pk__in=known)) if known else ()
    if words:
        found = Client.objects.containing(words)
        shown = tuple(found[:MOST_FOUND])
        left_out = max(found.count() - MOST_FOUND, 0) if len(shown) == MOST_FOUND else 0
    else:
        newest = Client.objects.annotate(newest=Max("jobs")).filter(newest__isnull=False)
        shown, left_out = tuple(newest.order_by("-newest")[:MOST_FOUND]), 0
    rest = (client for client in shown if client not in chosen)
    return ClientChoice((*chosen, *rest), words, False, left_out)


def clients_with_jobs(words: str) -> ClientQuerySet:
    """Return the clients that have every word, by name, each with the number of its jobs as `job_count`."""
    return Client.objects.containing(words).annotate(job_count=Count("jobs")).order_by("name", "pk")
