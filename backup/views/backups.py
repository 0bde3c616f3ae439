"""Backups: what there is, one more now, and one to take away."""

import tempfile
from pathlib import Path

from django.conf import settings
from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils import timezone
from django.views.decorators.http import require_GET, require_POST

from backup import folder
from backup.archive import CannotBackUp, write_backup
from backup.database_copy import CannotCopy
from backup.forms import PassphraseForm
from saving.once import keeps_own_transactions, saves_nothing


@require_GET
def backup_page(request: HttpRequest) -> HttpResponse:
    """Show what there is and whether it holds."""
    return _page(request, PassphraseForm())


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
    form = PassphraseForm(request.POST)
    if not form.is_valid():
        return _page(request, form, status=422)
    now = timezone.now()
    name = f"benchrule-{timezone.localdate(now).isoformat()}.backup"
    with tempfile.TemporaryDirectory(prefix="benchrule-save-") as scratch:
        file = Path(scratch, name)
        try:
            write_backup(file, settings.DATA_DIR, now, form.cleaned_data["passphrase"])
        except (CannotBackUp, CannotCopy, OSError) as error:
            messages.error(request, f"No backup was made. {error}")
            return redirect("backups")
        # opened, it can still be read once its name is gone with the folder
        return FileResponse(open(file, "rb"), as_attachment=True, filename=name)


def _page(request: HttpRequest, form: PassphraseForm, status: int = 200) -> HttpResponse:
    context = {
        "place": "firm",
        "form": form,
        "backups": folder.backups(),
        "tried": folder.last_tried(),
        "caution": folder.caution(timezone.now()),
        "backups_dir": settings.BACKUPS_DIR,
        "is_encrypted": bool(settings.BACKUP_PASSPHRASE_FILE),
    }
    return render(request, "backup/backups.html", context, status=status)
