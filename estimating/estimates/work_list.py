"""What is done to the list of an estimate's work, many lines at once, and undone again."""

from collections.abc import Collection, Iterator
from contextlib import contextmanager

from django.core import serializers
from django.db.models import Max, Model

from estimating.models import ClientSupply, Estimate, MeasureOverride, UndoStep, WorkItem, WorkRoom

Rows = dict[int, str]  # by the work item's primary key, the item with its parts, serialized


@contextmanager
def undoable(estimate: Estimate, words: str) -> Iterator[None]:
    """Keep what happens inside to the list of the work, under these words, so that it can be undone.

    It takes the place of what was kept before. Call in a transaction; costs eight queries and a write.
    """
    before = _serialized(estimate)
    yield
    after = _serialized(estimate)
    touched = {
        pk: {"before": before.get(pk), "after": after.get(pk)}
        for pk in before.keys() | after.keys()
        if before.get(pk) != after.get(pk)
    }
    if touched:
        UndoStep.objects.update_or_create(estimate=estimate, defaults={"words": words, "rows": touched})


def undo(estimate: Estimate) -> tuple[str, int]:
    """Undo what was last done to the list; return its words and how many lines changed since, which stay.

    The words are empty where nothing is kept to undo. Call in a transaction.
    """
    step = UndoStep.objects.filter(estimate=estimate).first()
    if step is None:
        return "", 0
    now, left = _serialized(estimate), 0
    for key, row in step.rows.items():
        if now.get(int(key)) != row["after"]:
            left += 1
        else:
            _put_back(int(key), row["before"])
    step.delete()
    return step.words, left


def set_options(items: Collection[WorkItem], *, is_option: bool, name: str = "") -> None:
    """Make work optional, all of it as one option where it gets a name, or put it back into the sum."""
    marked = WorkItem.objects.filter(pk__in=[item.pk for item in items])
    marked.update(is_option=is_option, option_name=name)


def move_to_phase(items: Collection[WorkItem], phase: str) -> None:
    """Move work into a phase, behind the work that is there, in the order in which it stands."""
    for item in items:
        last = item.estimate.items.aggregate(last=Max("position"))["last"] or 0
        item.phase, item.position = phase, last + 1
        item.save(update_fields=["phase", "position"])


def remove(items: Collection[WorkItem]) -> None:
    """Remove work with all that was typed for it."""
    WorkItem.objects.filter(pk__in=[item.pk for item in items]).delete()


def _serialized(estimate: Estimate) -> Rows:
    """Return every work item with its rooms, amounts by hand and what the client brings. Four queries."""
    items = list(WorkItem.objects.filter(estimate=estimate))
    parts: dict[int, list[Model]] = {item.pk: [item] for item in items}
    for model in (WorkRoom, MeasureOverride, ClientSupply):
        for part in model.objects.filter(item__in=items).order_by("pk"):
            parts[part.item_id].append(part)
    return {pk: serializers.serialize("json", rows) for pk, rows in parts.items()}


def _put_back(pk: int, rows: str | None) -> None:
    if rows is None:
        WorkItem.objects.filter(pk=pk).delete()
        return
    for model in (WorkRoom, MeasureOverride, ClientSupply):
        model.objects.filter(item=pk).delete()
    for row in serializers.deserialize("json", rows):
        row.save()
