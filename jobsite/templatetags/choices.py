"""What the client's page of a job includes of choices."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django import template
from django.utils import timezone

from estimating.client.job_page.page import Paper, Waiting
from estimating.contract.unit_prices import UnitPrice
from estimating.models import Document, JobLink
from jobsite.choices.choosing import OpenChoice, read_to_choose
from jobsite.choices.options import options_for_client

register = template.Library()


@dataclass(frozen=True)
class ChoicesOnPage:
    """The choices on a page, those that wait first, and what the page needn't ask for a second time."""

    rows: Sequence[OpenChoice]

    @property
    def asked(self) -> set[str]:
        """How the page itself asks for the allowances among them."""
        return {f"Choose: {row.allowance.line.title}" for row in self.rows if row.allowance}

    @property
    def waits(self) -> bool:
        """Whether something is still to choose."""
        return any(row.made is None for row in self.rows)


@register.simple_tag
def choices_on(page: JobLink) -> ChoicesOnPage:
    """Return the choices on the client's page of a job."""
    return ChoicesOnPage(read_to_choose(page))


@register.simple_tag
def options_on(page: JobLink, papers: Iterable[Paper]) -> list[UnitPrice]:
    """Return the options that the client can still take. Costs queries only where he signed some."""
    kind = Document.Kind.ESTIMATE
    signed = (paper.document for paper in papers if paper.signature and paper.document.kind == kind)
    has_some = any(document.read_snapshot().get("options") for document in signed)
    return options_for_client(page.job, timezone.localdate()) if has_some else []


@register.simple_tag
def besides_choices(choices: ChoicesOnPage, waiting: Iterable[Waiting]) -> list[Waiting]:
    """Return what else waits for the client."""
    return [item for item in waiting if item.words not in choices.asked]
