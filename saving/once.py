"""The middleware that saves each form once, and one at a time."""

import json
import time
from collections.abc import Callable, Mapping, Sequence
from datetime import timedelta
from typing import Any, TypeVar
from uuid import uuid4

from django.db import connection, transaction
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.crypto import salted_hmac

from saving.forms import OPENED, as_texts, read_opened
from saving.models import SavedForm

KEY = "form_key"
KEPT_FOR = timedelta(days=180)  # what a phone kept without signal may come late
BEING_SAVED = timedelta(seconds=60)  # after which a save that never ended counts as died
PATIENCE_SECONDS, BETWEEN_SECONDS = 30, 0.1
_LOCK = 7_305_011  # any number that nothing else in the database asks a lock for

View = TypeVar("View", bound=Callable[..., HttpResponseBase])
GetResponse = Callable[[HttpRequest], HttpResponse]


def new_key() -> str:
    """Return a key for one page's form."""
    return uuid4().hex


def saves_nothing(view: View) -> View:
    """Mark a view whose posts only ask: what is posted is read and answered, and no row is written."""
    view.saves_nothing = True  # type: ignore[attr-defined]  # read by the middleware
    return view


def saved_nothing(response: HttpResponse) -> HttpResponse:
    """Mark the answer to a post that only asked, where the view saves others: its form isn't saved yet."""
    response.saved_nothing = True  # type: ignore[attr-defined]  # read by the middleware
    return response


def keeps_own_transactions(view: View) -> View:
    """Mark a view that draws a document, so that nobody waits for the drawing: its rules lock themselves.

    Its form is still saved once.
    """
    view.keeps_own_transactions = True  # type: ignore[attr-defined]  # read by the middleware
    return view


def before_turn(prepare: Callable[[HttpRequest], None]) -> Callable[[View], View]:
    """Mark a view with what is done to its posts before their turn: what takes long and writes no row."""

    def marked(view: View) -> View:
        view.before_turn = prepare  # type: ignore[attr-defined]  # read by the middleware
        return view

    return marked


class SaveOnce:
    """Has each posted view run alone, in one transaction, and not at all where its form was saved before.

    What a view wrote is undone where it answers with an error (400 and up). Stands last among the
    middleware: nobody waits in turn who isn't let in.
    """

    def __init__(self, get_response: GetResponse) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self,
        request: HttpRequest,
        view: Callable[..., HttpResponse],
        args: Sequence[Any],
        kwargs: Mapping[str, Any],
    ) -> HttpResponse | None:
        if request.method != "POST" or getattr(view, "saves_nothing", False):
            return None
        if prepare := getattr(view, "before_turn", None):
            prepare(request)
        save = _in_own_transactions if getattr(view, "keeps_own_transactions", False) else _in_turn
        return save(request, lambda: view(request, *args, **kwargs))


def take_turn() -> None:
    """Wait until nobody else saves, up to the end of the transaction. Call inside one.

    A transaction of SQLite has the only lock for writing from its beginning; PostgreSQL is asked for one.
    """
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            cursor.execute("SELECT pg_advisory_xact_lock(%s)", [_LOCK])


def _in_turn(request: HttpRequest, view: Callable[[], HttpResponse]) -> HttpResponse:
    key, digest = request.POST.get(KEY, "")[:64], _digest(request)
    with transaction.atomic():
        take_turn()
        saved = SavedForm.objects.filter(pk=key).first() if key else None
        if saved and saved.led_to and saved.content_sha256 == digest:
            return HttpResponseRedirect(saved.led_to)
        if saved and saved.opened:
            _hold_against(request, saved.opened)
        response = view()
        if response.status_code >= 400:
            transaction.set_rollback(True)
        elif key and not getattr(response, "saved_nothing", False):
            _keep(request, key, digest, response)
    return response


def _in_own_transactions(request: HttpRequest, view: Callable[[], HttpResponse]) -> HttpResponse:
    key, digest = request.POST.get(KEY, "")[:64], _digest(request)
    if not key:
        return view()
    if (led_to := _claim(key, digest)) is not None:
        if led_to:
            return HttpResponseRedirect(led_to)
        return render(request, "saving/being_saved.html", status=409)
    claimed = SavedForm.objects.filter(pk=key, content_sha256=digest, led_to="")
    try:
        response = view()
    except BaseException:
        claimed.delete()
        raise
    with transaction.atomic():  # which waits in turn: a single statement can wait in vain beside others
        take_turn()
        if isinstance(response, HttpResponseRedirect):
            claimed.update(led_to=response.url)
        else:
            claimed.delete()
    return response


def forget_cut_off() -> None:
    """Forget forms that were being saved when a SQLite site ended: sent again, they needn't wait.

    Call before anything is served. One process owns a SQLite file, so nobody else is saving; on PostgreSQL
    another service may be.
    """
    if connection.vendor == "sqlite":
        SavedForm.objects.filter(led_to="", opened="").delete()


def _claim(key: str, digest: str) -> str | None:
    """Keep that this form is being saved, and return None; or wait for the same form's save that goes on.

    Returns the address that it led to, or "" where it doesn't come to an end.
    """
    until = time.monotonic() + PATIENCE_SECONDS
    while True:
        with transaction.atomic():
            take_turn()
            now = timezone.now()
            saved = SavedForm.objects.filter(pk=key, content_sha256=digest).first()
            if saved is None or (not saved.led_to and saved.saved_at < now - BEING_SAVED):
                claim = {"content_sha256": digest, "led_to": "", "opened": "", "saved_at": now}
                SavedForm.objects.update_or_create(pk=key, defaults=claim)
                return None
            if saved.led_to:
                return saved.led_to
        if time.monotonic() > until:
            return ""
        time.sleep(BETWEEN_SECONDS)


def _keep(request: HttpRequest, key: str, digest: str, response: HttpResponse) -> None:
    """Keep that a form was saved, and what its page shows since: what was posted from it."""
    now = timezone.now()
    opened = read_opened(request.POST)
    posted = as_texts(request.POST)
    shown = {name: posted.get(name, []) for name in opened} if opened else {}
    SavedForm.objects.filter(saved_at__lt=now - KEPT_FOR).delete()
    saved = {
        "content_sha256": digest,
        "led_to": response.url if isinstance(response, HttpResponseRedirect) else "",
        "opened": json.dumps(shown) if shown else "",
        "saved_at": now,
    }
    SavedForm.objects.update_or_create(pk=key, defaults=saved)


def _hold_against(request: HttpRequest, opened: str) -> None:
    """Have a page's second save held against what its first one left, not against what it was made with."""
    posted = request.POST.copy()
    posted[OPENED] = opened
    request.POST = posted  # type: ignore[assignment]  # as the request's own: a changed copy is one, too


def _digest(request: HttpRequest) -> str:
    """Return a digest of what was posted where, files included, without the token against forgery.

    It is keyed with the site's secret: passwords are posted, too, and mustn't be found out from the database.
    """
    digest = salted_hmac("saving.once", request.path, algorithm="sha256")
    for name, values in sorted(request.POST.lists()):
        if name != "csrfmiddlewaretoken":
            digest.update(json.dumps([name, values]).encode())
    for name, files in sorted(request.FILES.lists()):
        for file in files:
            digest.update(json.dumps([name, file.name]).encode())
            for chunk in file.chunks():
                digest.update(chunk)
            file.seek(0)
    return digest.hexdigest()
