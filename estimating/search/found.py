"""What a search finds: the first rows of each kind, or one page of a single kind."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.core.paginator import Page, Paginator

from estimating.search.kinds import KINDS, Hit, SearchKind
from estimating.search.pages import KeyPaginator, rows_by_key

FIRST_ROWS = 6
ROWS_A_PAGE = 30


@dataclass(frozen=True)
class Found:
    """The hits of one kind: those shown, how many there are in all, and the page where one was asked for."""

    kind: SearchKind
    hits: Sequence[Hit]
    count: int
    page: Page[Hit] | None = None

    @property
    def left_out(self) -> int:
        """How many hits are neither shown nor on a page of their own."""
        return 0 if self.page else self.count - len(self.hits)


def find(text: str, kind: str = "", page: str = "") -> list[Found]:
    """Return what has every word of a text; kinds without any are left out.

    With a kind, that kind alone, a page at a time. Costs two queries a kind, three for papers.
    """
    words = text.split()
    if not words:
        return []
    asked = [known for known in KINDS if known.code == kind]
    found = [_one_page(asked[0], words, page)] if asked else [_first(known, words) for known in KINDS]
    return [each for each in found if each.count]


def _first(kind: SearchKind, words: list[str]) -> Found:
    rows = kind.rows(words)
    most = FIRST_ROWS + 1
    hits = [kind.hit(row) for row in (rows_by_key(rows, 0, most) if kind.long else rows[:most])]
    count = rows.count() if len(hits) > FIRST_ROWS else len(hits)
    return Found(kind, hits[:FIRST_ROWS], count)


def _one_page(kind: SearchKind, words: list[str], number: str) -> Found:
    by = KeyPaginator if kind.long else Paginator
    pages: Paginator[Hit] = by(kind.rows(words), ROWS_A_PAGE)
    page = pages.get_page(number)
    return Found(kind, [kind.hit(row) for row in page], pages.count, page)
