"""Items of a punch list closed, opened again, and made into change orders."""

from collections.abc import Iterable
from datetime import date
from hashlib import sha256

from django.db import transaction

from catalog.models import Firm
from closing.models import PunchListItem
from estimating.changes.draft import SignedJob
from estimating.changes.edit import add_photos, begin_change
from estimating.client.photos import small_photo
from estimating.models import ChangeOrder


def close_item(item: PunchListItem, on: date, photos: Iterable[bytes] = ()) -> bool:
    """Mark an item done, with photos of it; return whether it wasn't before.

    Of two people who close it at once, the first one's day stands; both their photos are kept.
    """
    with transaction.atomic():
        closed = PunchListItem.objects.filter(pk=item.pk, done_on=None).update(done_on=on)
        add_item_photos(item, photos, of_done=True)
    return bool(closed)


def open_again(item: PunchListItem) -> None:
    """Take the mark of an item back."""
    PunchListItem.objects.filter(pk=item.pk).update(done_on=None)


def put_on_list(item: PunchListItem, on: date, photos: Iterable[bytes] = ()) -> None:
    """Keep an item that was seen on a day, with its photos."""
    item.noted_on = on
    with transaction.atomic():
        item.save()
        add_item_photos(item, photos)


def add_item_photos(item: PunchListItem, photos: Iterable[bytes], *, of_done: bool = False) -> None:
    """Keep photos (JPEG, cleaned) of an item; one that it has already stays once."""
    for content in photos:
        values = {"content": content, "small": small_photo(content), "of_done": of_done}
        item.photos.get_or_create(sha256=sha256(content).hexdigest(), defaults=values)


def wish_to_change(item: PunchListItem, signed: SignedJob, firm: Firm, today: date) -> ChangeOrder:
    """Begin a change order of a wish, with its photos, and return it; one that was begun already stays."""
    if item.change:
        return item.change
    change = ChangeOrder(
        job=item.job,
        title=item.text[:80],
        reason=ChangeOrder.Reason.CLIENT,
        found=f"{item.text}{f', {item.room.name}' if item.room else ''}. Asked for on the walk-through.",
        asked_by=item.job.client.name,
    )
    with transaction.atomic():
        begin_change(change, signed, firm, today)
        add_photos(change, (bytes(photo.content) for photo in item.photos.all()[:6]))
        item.change = change
        item.save(update_fields=["change"])
    return change
