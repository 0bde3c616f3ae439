"""Forms that merge what was posted with what was saved since their page was made."""

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import suppress
from typing import Any, Protocol, runtime_checkable

from django import forms
from django.forms.boundfield import BoundField
from django.http import QueryDict

from saving.merge import Merged, Texts, merge, plain

OPENED = "form_opened"
CONFLICT = "Changed meanwhile to “{}”. Yours stands here: save again to keep it, or type the other."
EMPTIED = "Emptied meanwhile. Yours stands here: save again to keep it, or empty it."


@runtime_checkable
class Opened(Protocol):
    """What `{% form_key %}` takes: it says what its fields hold in what is saved now."""

    def as_stored(self) -> Texts: ...


class MergesEdits(forms.BaseForm):
    """Mix in before `forms.Form` or `forms.ModelForm`: an edit never undoes another.

    The form must be given the row as it is now, as `instance` or `initial`, bound or not. A form that carries
    nothing of when its page was made is taken as it is. `conflicts` names the fields that both sides changed;
    while there are any, the form isn't valid.
    """

    conflicts: tuple[str, ...] = ()

    def as_stored(self) -> dict[str, list[str]]:
        """Return what a browser would send of this form, had nobody typed in it; nothing for a new row."""
        row = getattr(self, "instance", None)
        if row is not None and row.pk is None:
            return {}
        return {bound.html_name: stored_texts(bound) for bound in self if not _is_file(bound)}

    def full_clean(self) -> None:
        if self.is_bound and (opened := read_opened(self.data)) is not None:
            theirs = self.as_stored()
            own = {name: texts for name, texts in opened.items() if name in theirs}
            own |= {name: theirs[name] for name in self._kept_otherwise(own, theirs)}
            merged = merge(as_texts(self.data), own, theirs) if own else Merged({}, ())
            if own:
                self.data = as_query(merged.texts)
                self.conflicts = merged.conflicts
        super().full_clean()
        for bound in self:
            if bound.html_name in self.conflicts:
                self.add_error(bound.name, conflict_in_words(shown(bound, stored_texts(bound))))

    def _kept_otherwise(self, own: Texts, theirs: Texts) -> Iterator[str]:
        """Yield the names of fields that hold the same in other words: 81 typed is kept as 81.00."""
        for bound in self:
            was, now = (list(side.get(bound.html_name, ())) for side in (own, theirs))
            if was != now and len(was) == len(now) == 1 and not hasattr(bound.field, "choices"):
                with suppress(forms.ValidationError):
                    if bound.field.clean(was[0]) == bound.field.clean(now[0]):
                        yield bound.html_name


class Ticks:
    """A list of ticks beside which others tick: what one page didn't touch stays as the other left it.

    `stored` says by the name of each box whether it is ticked in what is saved now.
    """

    def __init__(self, stored: Mapping[str, bool]) -> None:
        self.stored = stored

    def as_stored(self) -> dict[str, list[str]]:
        """Return what a browser would send of the boxes, had nobody touched them."""
        return {name: ["on"] if ticked else [] for name, ticked in self.stored.items()}

    def merged(self, data: Mapping[str, Any]) -> set[str]:
        """Return the boxes that are ticked once what was posted is merged with what is saved."""
        posted = {name: texts for name, texts in as_texts(data).items() if name in self.stored}
        opened = read_opened(data)
        if opened is None:
            return set(posted)
        texts = merge(posted, {name: opened.get(name, []) for name in self.stored}, self.as_stored()).texts
        return {name for name, held in texts.items() if held}


def read_opened(data: Mapping[str, Any]) -> Texts | None:
    """Return what the page's fields held when it was made; None where it doesn't say, or not so that it can
    be read."""
    try:
        opened = json.loads(data.get(OPENED) or "null")
    except ValueError:
        return None
    if not isinstance(opened, dict):
        return None
    read = {name: texts for name, texts in opened.items() if isinstance(texts, list)}
    return {name: [text for text in texts if isinstance(text, str)] for name, texts in read.items()}


def as_texts(data: Mapping[str, Any]) -> dict[str, list[str]]:
    """Return posted data with every name's texts."""
    if isinstance(data, QueryDict):
        return {name: list(texts) for name, texts in data.lists()}
    return {name: _as_list(value) for name, value in data.items()}


def as_query(texts: Texts) -> QueryDict:
    """Return texts as Django's forms read them."""
    query = QueryDict(mutable=True)
    for name, values in texts.items():
        if values:
            query.setlist(name, list(values))
    return query


def stored_texts(bound: BoundField) -> list[str]:
    """Return what a browser would send of a field that nobody touched."""
    value = bound.field.prepare_value(bound.initial)
    widget = bound.field.widget
    if isinstance(widget, forms.CheckboxInput):
        return ["on"] if widget.check_test(value) else []
    if isinstance(widget, forms.MultiWidget):
        raise TypeError(f"{bound.name}: a field of several inputs isn't merged")
    texts = [str(text) for text in _as_list(widget.format_value(value))]
    if isinstance(widget, forms.Select) and not widget.allow_multiple_selected:
        offered = [str(choice) for choice, _ in _flat(widget.choices)]
        return texts if texts and texts[0] in offered else offered[:1]  # a list always has one chosen
    return texts


def shown(bound: BoundField, texts: Iterable[str]) -> str:
    """Return a field's texts as people read them: the words of a choice, "ticked" or nothing."""
    words = {"on": "ticked"} if isinstance(bound.field.widget, forms.CheckboxInput) else {}
    words |= {str(value): str(label) for value, label in _flat(getattr(bound.field, "choices", ()))}
    return ", ".join(words.get(text, text) for text in plain(list(texts)))


def conflict_in_words(theirs: str) -> str:
    """Return the sentence beside a field that both sides changed."""
    return CONFLICT.format(theirs) if theirs else EMPTIED


def status_of(*shown_forms: object) -> int:
    """Return the status that a page of forms is answered with.

    409 where both sides changed a field, 422 where something typed must be corrected, else 200.
    """
    if any(getattr(form, "conflicts", ()) for form in shown_forms):
        return 409
    wrong = any(form.is_bound and form.errors for form in shown_forms if isinstance(form, forms.BaseForm))
    return 422 if wrong else 200


def _flat(choices: Iterable[Any]) -> Iterator[tuple[Any, Any]]:
    """Yield choices out of their groups."""
    for value, label in choices:
        if isinstance(label, list | tuple):
            yield from _flat(label)
        else:
            yield value, label


def _as_list(value: Any) -> list[Any]:
    if value is None:
        return []
    return list(value) if isinstance(value, list | tuple) else [value]


def _is_file(bound: BoundField) -> bool:
    return isinstance(bound.field, forms.FileField)
