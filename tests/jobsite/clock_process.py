"""The clock and a photo in a server that is killed: `python -m tests.jobsite.clock_process kill`, or `photo`.

Prints as JSON what is left in the database, which the environment names as it does for the site.
"""

import json
import os
import signal
import sys
from collections.abc import Callable, Mapping
from datetime import timedelta
from itertools import count
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.contrib.auth.models import User  # noqa: E402
from django.core.files.uploadedfile import SimpleUploadedFile  # noqa: E402
from django.db import connection  # noqa: E402
from django.test import Client  # noqa: E402
from django.utils import timezone  # noqa: E402

from jobsite.models import HoursWorked, ReceiptKept, ReceiptPhoto, RunningClock  # noqa: E402
from tests.estimating.issuing_process import in_a_child  # noqa: E402
from tests.estimating.signed_kitchen import photo as picture  # noqa: E402
from tests.factories import make_job  # noqa: E402


def kill() -> Mapping[str, Any]:
    """Start the clock in a server that dies right after its answer; then stop it, dying at each statement."""
    settings.ALLOWED_HOSTS.append("testserver")
    user, job = User.objects.create_user("pat"), make_job()
    client = Client()
    client.force_login(user)
    client.post(f"/jobs/{job.pk}/clock/", {"on_what": "job-quoting", "form_key": "start"})  # warm
    RunningClock.objects.all().delete()
    started = _killed_after(lambda: client.post(f"/jobs/{job.pk}/clock/", {"on_what": "job-quoting"}), None)
    noon = timezone.localtime().replace(hour=12)
    RunningClock.objects.update(started_at=noon - timedelta(minutes=30))
    timezone.now = lambda: noon  # a clock of its own
    left, step = [], 0
    while True:
        step += 1
        died = _killed_after(lambda: client.post("/clock/stop/", {"form_key": "stop"}), step)
        left.append([RunningClock.objects.count(), HoursWorked.objects.count()])
        if not died:
            break
    return {"survived_start": started, "running": left[0], "left": sorted({str(both) for both in left})}


def photo() -> Mapping[str, Any]:
    """Send a receipt with its photo to a server that dies right after its answer; then at each statement."""
    settings.ALLOWED_HOSTS.append("testserver")
    user, job = User.objects.create_user("pat"), make_job()
    client = Client()
    client.force_login(user)

    def send(key: str) -> None:
        upload = SimpleUploadedFile("receipt.jpg", picture().getvalue(), "image/jpeg")
        typed = {"on": timezone.localdate().isoformat(), "total": "153.90", "says": "Floor paint"}
        sent = {**typed, "form_key": key, "photos": [upload]}
        assert client.post(f"/jobs/{job.pk}/receipts/", sent).status_code == 302

    client.get(f"/jobs/{job.pk}/receipts/")  # warm
    _killed_after(lambda: send("acknowledged"), None)
    survived, left, step = _receipts(), [], 0
    ReceiptKept.objects.all().delete()
    while True:
        step += 1
        died = _killed_after(lambda: send("killed"), step)
        left.append(_receipts())
        if not died:
            break
    send("killed")  # as the phone does, which got no answer
    return {
        "survived": survived,
        "steps": step,
        "left": sorted({str(both) for both in left}),
        "again": _receipts(),
    }


def _receipts() -> list[int]:
    return [ReceiptKept.objects.count(), ReceiptPhoto.objects.count()]


def _killed_after(work: Callable[[], Any], step: int | None) -> bool:
    """Run something in a process killed before a statement, or right after all; False where it was not."""

    def whole() -> None:
        steps = count(1)

        def before(execute: Callable[..., Any], *statement: Any) -> Any:
            if next(steps) == step:
                os.kill(os.getpid(), signal.SIGKILL)
            return execute(*statement)

        with connection.execute_wrapper(before):
            work()
        if step is None:
            os.kill(os.getpid(), signal.SIGKILL)

    _, status = os.waitpid(in_a_child(whole), 0)
    return os.WIFSIGNALED(status)


if __name__ == "__main__":
    print(json.dumps({"kill": kill, "photo": photo}[sys.argv[1]]()))
