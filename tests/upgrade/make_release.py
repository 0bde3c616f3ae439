"""Makes the database of a release, which later code must bring up: `python -m tests.upgrade.make_release`.

Run it with the code of the release, in a checkout of it. The demo's year and a row of every kind are put into
a new SQLite file, which is kept beside this module, compressed. Papers are left blank but for the XML
inside bills: drawn, they would be most of it, and no migration reads them.
"""

import lzma
import os
import sqlite3
import subprocess
import sys
import tempfile
import zlib
from datetime import date
from pathlib import Path
from typing import Any

import pyotp

FILE = Path(__file__).with_name("release.sqlite3.xz")
TODAY = date(2026, 11, 27)
BLANK = b"%PDF-1.7 left blank %%EOF"


def make() -> None:
    """Make the database in a folder that ends with this."""
    with tempfile.TemporaryDirectory() as folder:
        os.environ |= {"BENCHRULE_DATA": folder, "DATABASE_URL": ""}
        os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
        subprocess.run([sys.executable, "manage.py", "migrate", "--verbosity=0"], check=True)
        import django

        django.setup()
        _fill()
        FILE.write_bytes(lzma.compress(_whole(Path(folder) / "benchrule.sqlite3"), preset=9))


def _fill() -> None:
    from django.conf import settings
    from django.core.management import call_command

    from demo.load import load_demo
    from estimating.client import outbox
    from estimating.documents import clock
    from estimating.documents.pdf import PdfRenderer
    from tests.every_row import every_kind_of_row

    def blank(renderer: PdfRenderer, html: str, identifier: bytes, attachment: Any | None = None) -> bytes:
        if attachment is None:
            return BLANK
        content = zlib.compress(attachment.content, 9)
        head = b"/Type /EmbeddedFile/Subtype /text#2fxml/Filter /FlateDecode>>\nstream\n"
        return BLANK + head + content

    PdfRenderer.render = blank  # type: ignore[method-assign,assignment]
    outbox.wake = lambda: None  # what waits is still to be sent by the later code
    clock.last_days = lambda: (None, None)  # what is put in last is dated before the demo's end
    load_demo(settings.DATA_DIR, TODAY)
    every_kind_of_row()
    _of_signing_in()
    call_command("verify_documents")


def _of_signing_in() -> None:
    """Put in what pages alone make: of signing in, phones, and forms that were saved."""
    from django.contrib.auth.models import User
    from django.utils import timezone

    from access.models import FailedSignIn
    from account.events import Kind, note
    from account.models import Device
    from account.second_step import new_recovery_codes, turn_on
    from estimating.models import ChangeOrder
    from invoicing.models import Milestone, PlannedPart
    from phone.models import Phone
    from saving.models import SavedForm

    owner, now = User.objects.get(username="demo"), timezone.now()
    secret = pyotp.random_base32()
    assert turn_on(owner, secret, pyotp.TOTP(secret).now(), now)
    new_recovery_codes(owner)
    note(owner, Kind.SECOND_ON, None)
    FailedSignIn.objects.create(who_sha256="a" * 64, count=2, last_at=now)
    Device.objects.create(session_key="b" * 32, session_data="", expire_date=now, user=owner)
    Phone.objects.create(ident="c" * 32, user=owner, session_key="b" * 32, first_at=now, last_at=now)
    SavedForm.objects.create(key="d" * 32, content_sha256="e" * 64, led_to="/", saved_at=now)
    PlannedPart.objects.create(
        change=ChangeOrder.objects.order_by("pk")[0], milestone=Milestone.objects.order_by("pk")[0], amount=1
    )


def _whole(file: Path) -> bytes:
    """Return a database without its log and without gaps."""
    copy = file.with_name("copy.sqlite3")
    with sqlite3.connect(file) as database:
        database.execute("VACUUM INTO ?", [f"{copy}"])
    return copy.read_bytes()


if __name__ == "__main__":
    make()
