"""Answering a suggestion: taking it, setting it aside, putting back what was taken."""

from datetime import datetime

from django.db import transaction

from jobsite.learning.suggestions import Suggestion
from jobsite.learning.values import stands, store, values_of
from jobsite.models import SuggestionAnswer


class NotPutBack(ValueError):
    """What was taken has been changed since; the message is a plain sentence."""


@transaction.atomic
def take(suggestion: Suggestion, at: datetime) -> SuggestionAnswer:
    """Store what a suggestion makes of a value, and keep what it was. Documents that were issued stay."""
    was = values_of(suggestion.kind, suggestion.code)
    store(suggestion.kind, suggestion.code, suggestion.made)
    return _answer(suggestion, at, taken=True, was=was)


def set_aside(suggestion: Suggestion, at: datetime) -> SuggestionAnswer:
    """Leave the value as it is, until a further job says something."""
    return _answer(suggestion, at, taken=False)


def _answer(suggestion: Suggestion, at: datetime, **values: object) -> SuggestionAnswer:
    kept: dict[str, object] = {
        "kind": suggestion.kind,
        "code": suggestion.code,
        "jobs": suggestion.jobs,
        "title": suggestion.title,
        "now": suggestion.now,
        "then": suggestion.then,
        "prior": dict(suggestion.prior),
        "made": dict(suggestion.made),
        "at": at,
    }
    return SuggestionAnswer.objects.create(**kept, **values)


@transaction.atomic
def put_back(answer: SuggestionAnswer, at: datetime) -> None:
    """Give a value that was taken back what it was. Raises NotPutBack, and changes nothing then."""
    now = values_of(answer.kind, answer.code)
    if not now or not stands(answer.made, now):
        raise NotPutBack("It was changed after you took it, so nothing is put back: change it by hand.")
    store(answer.kind, answer.code, answer.was)
    answer.put_back_at = at
    answer.save(update_fields=["put_back_at"])
