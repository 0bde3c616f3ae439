"""The forms that were saved, by their keys."""

from django.db import models


class SavedForm(models.Model):
    """A form that was saved: its key, a digest of what was posted, and the address that it led to.

    `opened` is what the page's fields hold since: what the same page posts next is held against that.
    `led_to` is empty while the form is being saved, and where its answer was a part of the page.
    """

    key = models.CharField(max_length=64, primary_key=True)
    content_sha256 = models.CharField(max_length=64)
    led_to = models.TextField(blank=True)
    opened = models.TextField(blank=True)
    saved_at = models.DateTimeField(db_index=True)

    def __str__(self) -> str:
        return f"{self.key} led to {self.led_to}"
