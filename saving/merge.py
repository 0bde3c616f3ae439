"""The merging of two edits of the same form, as texts: pure.

A form is compared name by name in what a browser sends: `opened` when the page was made, `mine` as posted
from it, `theirs` as a page made now would send it.

========================  ======================  ==========================
he changed it             it was changed since    what is saved
========================  ======================  ==========================
no                        no                      as it is
yes                       no                      his
no                        yes                     theirs: nothing is undone
yes                       yes, to the same        his, which is the same
yes                       yes, to something else  nothing, until he chooses
========================  ======================  ==========================
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

Texts = Mapping[str, Sequence[str]]


@dataclass(frozen=True)
class Merged:
    """What is saved, and the names that both sides changed, where his texts still stand."""

    texts: dict[str, list[str]]
    conflicts: tuple[str, ...]


def merge(mine: Texts, opened: Texts, theirs: Texts) -> Merged:
    """Merge what was posted with what was saved since its page was made.

    Names that neither `opened` nor `theirs` has are left as posted: tokens, buttons, other forms.
    """
    texts = {name: list(values) for name, values in mine.items()}
    conflicts = []
    for name in dict.fromkeys([*opened, *theirs]):
        was, now, his = (plain(side.get(name, ())) for side in (opened, theirs, mine))
        if now in (was, his):
            continue
        if his == was:
            texts[name] = list(theirs.get(name, ()))
        else:
            conflicts.append(name)
    return Merged(texts, tuple(conflicts))


def merge_rows(mine: Texts, opened: Texts, theirs: Texts, prefix: str, counting: Collection[str]) -> Merged:
    """Merge a list of rows, with names such as "openings-0-width" for the prefix "openings".

    A row counts where one of the `counting` columns holds something. Rows have nothing but their number to be
    known by. So where both sides changed the list, and one of them the number of its rows, it isn't merged
    row by row: the conflict is the whole list's, named by its prefix.
    """
    posted = {name: list(texts) for name, texts in mine.items()}
    his, was, now = (_rows(side, prefix, counting) for side in (mine, opened, theirs))
    if now in (was, his):
        return Merged(posted, ())
    others = {name: texts for name, texts in posted.items() if not name.startswith(f"{prefix}-")}
    if his == was:
        return Merged(others | _numbered(now, prefix), ())
    if not len(his) == len(was) == len(now):
        return Merged(posted, (prefix,))
    merged = merge(*(_numbered(rows, prefix) for rows in (his, was, now)))
    return Merged(others | merged.texts, merged.conflicts)


def _rows(side: Texts, prefix: str, counting: Collection[str]) -> list[dict[str, list[str]]]:
    """Return the rows of a list that count, each with what its columns hold."""
    rows: dict[int, dict[str, list[str]]] = {}
    for name, texts in side.items():
        of_list, _, rest = name.partition("-")
        number, _, column = rest.partition("-")
        if of_list == prefix and number.isdecimal() and column and (held := plain(texts)):
            rows.setdefault(int(number), {})[column] = held
    return [rows[number] for number in sorted(rows) if not rows[number].keys().isdisjoint(counting)]


def _numbered(rows: Sequence[Mapping[str, list[str]]], prefix: str) -> dict[str, list[str]]:
    """Return rows as a form sends them, with how many there are."""
    count = [str(len(rows))]
    texts = {f"{prefix}-TOTAL_FORMS": count, f"{prefix}-INITIAL_FORMS": count}
    for number, row in enumerate(rows):
        texts |= {f"{prefix}-{number}-{column}": held for column, held in row.items()}
    return texts


def plain(values: Sequence[str]) -> list[str]:
    """Return the texts of a name as they are compared: empty ones left out, line ends as newlines.

    A browser sends nothing for a tick that isn't set, and ends lines with CR LF.
    """
    return [text.replace("\r\n", "\n") for text in values if text]
