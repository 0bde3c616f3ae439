"""Searching a list of the catalog."""

from dataclasses import dataclass

from catalog.lists.catalog_list import CatalogList
from catalog.models import Assembly, ListedRow
from catalog.phases import Phase
from catalog.starter.provenance import change_label

MOST_ROWS = 200
MANY_ROWS = 40

LabeledRow = tuple[ListedRow, str]  # a row, and what the firm has made of it in a few words


@dataclass(frozen=True)
class ListQuery:
    """What is asked of a list: rows with these words in their name.

    `retired` asks for retired rows instead of the others, `changed` only for what the firm changed or made.
    """

    words: str = ""
    retired: bool = False
    changed: bool = False


@dataclass(frozen=True)
class SearchResult:
    """The rows that a search gives. `has_more` says that there are more than these."""

    rows: list[LabeledRow]
    query: ListQuery
    has_more: bool

    @property
    def groups(self) -> list[tuple[str, list[LabeledRow]]]:
        """The rows under headings: assemblies by phase, all else by first letter.

        A short list stands under a single empty heading.
        """
        if len(self.rows) < MANY_ROWS:
            return [("", self.rows)]
        groups: dict[str, list[LabeledRow]] = {}
        for row, label in self.rows:
            heading = row.get_phase_display() if isinstance(row, Assembly) else row.name[0].upper()
            groups.setdefault(heading, []).append((row, label))
        if isinstance(self.rows[0][0], Assembly):
            return [(str(phase.label), groups[phase.label]) for phase in Phase if phase.label in groups]
        return list(groups.items())


def search(catalog_list: CatalogList, query: ListQuery) -> SearchResult:
    """Return the rows whose name has every word, at most MOST_ROWS; of those that the firm changed, all."""
    rows = catalog_list.rows().filter(retired=query.retired).order_by("name")
    for word in query.words.split():
        rows = rows.filter(name__icontains=word)
    if query.changed:
        changed = [(row, label) for row in rows if (label := change_label(row))]
        return SearchResult(changed, query, has_more=False)
    labeled = [(row, change_label(row)) for row in rows[: MOST_ROWS + 1]]
    return SearchResult(labeled[:MOST_ROWS], query, has_more=len(labeled) > MOST_ROWS)
