"""What the client's page of a job includes of choices."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from django import template

from estimating.client.job_page.page import Waiting
from estimating.models import JobLink
from jobsite.choices.choosing import OpenChoice, read_to_choose

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
def besides_choices(choices: ChoicesOnPage, waiting: Iterable[Waiting]) -> list[Waiting]:
    """Return what else waits for the client."""
    return [item for item in waiting if item.words not in choices.asked]
