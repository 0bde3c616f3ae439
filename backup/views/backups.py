"""Backups: what there is, one more now, and one to take away."""

import tempfile
from collections.abc import Callable
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from access.attempts import TooEarly
from access.waits import wait_in_words
from account.again import typed_again
from account.forms import OwnPasswordForm
from backup import folder
from backup.archive import CannotBackUp, write_backup
from backup.database_copy import CannotCopy
from backup.forms import PassphraseForm
from backup.readable import write_readable
from saving.once import keeps_own_transactions, saves_nothing

TAKE = "take"


@require_GET
def backup_page(request: HttpRequest) -> HttpResponse:
    """Show what there is and whether it holds."""
    return _page(request)


@keeps_own_transactions
@require_POST
def backup_now(request: HttpRequest) -> HttpResponse:
    """Write today's backup into the folder of backups."""
    try:
        file, _ = folder.back_up_today(timezone.now(), timezone.localdate())
    except (CannotBackUp, CannotCopy, OSError) as error:
        messages.error(request, f"No backup was made. {error}")
    else:
        messages.success(request, f"Backed up: {file.name}.")
    return redirect("backups")


@saves_nothing
@require_POST
def backup_save(request: HttpRequest) -> HttpResponseBase:
    """Send a backup as of now to be kept elsewhere, encrypted where a passphrase is typed."""
    form = PassphraseForm(request.user, request.POST)
    if wrong := _wrong(request, form):
        return wrong
    now = timezone.now()
    name = f"benchrule-{timezone.localdate(now).isoformat()}.backup"
    return _send(
        request,
        name,
        lambda file: write_backup(file, settings.DATA_DIR, now, form.cleaned_data["passphrase"]),
    )


@saves_nothing
@require_POST
def take_away(request: HttpRequest) -> HttpResponseBase:
    """Send everything as files that need no Benchrule."""
    form = OwnPasswordForm(request.user, request.POST, prefix=TAKE)
    if wrong := _wrong(request, form):
        return wrong
    now = timezone.now()
    name = f"everything-{timezone.localdate(now).isoformat()}.zip"
    return _send(request, name, lambda file: write_readable(file, settings.DATA_DIR, now))


def _wrong(request: HttpRequest, form: OwnPasswordForm) -> HttpResponse | None:
    """Return the page that says what is wrong with what was typed; None where nothing is.

    Guessing the password here waits as signing in does.
    """
    try:
        is_valid = typed_again(request, form)
    except TooEarly as early:
        messages.error(request, f"Wrong passwords came too often. Wait {wait_in_words(early.wait)}.")
        return _page(request, status=429)
    return None if is_valid else _page(request, form, status=422)


def _send(request: HttpRequest, name: str, write: Callable[[Path], object]) -> HttpResponseBase:
    """Send a file that is written for it and gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="benchrule-save-") as scratch:
        file = Path(scratch, name)
        try:
            write(file)
        except (CannotBackUp, CannotCopy, OSError) as error:
            messages.error(request, f"Nothing was made. {error}")
            return redirect("backups")
        # opened, it can still be read once its name is gone with the folder
        return FileResponse(open(file, "rb"), as_attachment=True, filename=name)


def _page(request: HttpRequest, form: OwnPasswordForm | None = None, status: int = 200) -> HttpResponse:
    context = {
        "place": "firm",
        "form": form,
        "save_form": form if isinstance(form, PassphraseForm) else PassphraseForm(request.user),
        "take_form": form if form and form.prefix == TAKE else OwnPasswordForm(request.user, prefix=TAKE),
        "backups": folder.backups(),
        "tried": folder.last_tried(),
        "caution": folder.caution(timezone.now()),
        "backups_dir": settings.BACKUPS_DIR,
        "is_encrypted": bool(settings.BACKUP_PASSPHRASE_FILE),
    }
    return render(request, "backup/backups.html", context, status=status)
