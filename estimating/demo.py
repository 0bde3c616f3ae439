"""The demo: an invented firm, its catalog, its jobs, and a sign-in. What is there already stays as it is."""

import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import LoadReport, load
from estimating.documents.billing_hooks import billing
from estimating.estimate_file.reading import read
from estimating.models import Job

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"
JOBS = ("kitchen", "patch")
USER = "demo"
_LETTERS = "abcdefghjkmnpqrstuvwxyz"  # none that looks like another on a phone


@dataclass(frozen=True)
class Demo:
    """What the demo consists of, found or put in.

    `new_jobs` holds the names of the jobs that were put in just now; `password` is empty where the user has
    changed it from the one made here.
    """

    firm: Firm
    firm_is_new: bool
    catalog: LoadReport
    jobs: Mapping[str, Job]
    new_jobs: frozenset[str]
    user: str
    password: str


def load_demo(data: Path) -> Demo:
    """Put in what is missing of the demo.

    `data` is the folder with the note of the demo's password and jobs. The catalog, each job and the sign-in
    go in whole or not at all. A job that was renamed is recognized by the note.
    """
    path = data / "demo.json"
    user = get_user_model().objects.filter(username=USER).first()
    # without the user, the note is of another database
    note = json.loads(path.read_text()) if user and path.exists() else {}
    firm, firm_is_new = load_firm()
    catalog = load()
    jobs, new = {}, set()
    for name in JOBS:
        jobs[name], is_new = _load_job(name, firm, note.get("jobs", {}).get(name))
        new |= {name} if is_new else set()
    note = {"password": note.get("password", ""), "jobs": {name: job.pk for name, job in jobs.items()}}
    if user is None:
        note["password"] = _new_password()
    _write_note(path, note)
    if user is None:
        user = get_user_model().objects.create_user(USER, password=note["password"])
    return Demo(firm, firm_is_new, catalog, jobs, frozenset(new), USER, _if_unchanged(user, note["password"]))


def load_firm() -> tuple[Firm, bool]:
    """Return the firm, and whether it was put in just now.

    It is the demo's firm where nobody has described his own yet.
    """
    firm, blank = Firm.current(), Firm(pk=1, name="My firm")
    columns = [field.attname for field in Firm._meta.concrete_fields]
    if any(getattr(firm, name) != getattr(blank, name) for name in columns):
        return firm, False
    for name, typed in json.loads((FIXTURES / "firm.json").read_text("utf-8")).items():
        setattr(firm, name, typed)
    firm.full_clean()
    firm.save()
    return Firm.current(), True


def _load_job(name: str, firm: Firm, pk: int | None) -> tuple[Job, bool]:
    """Return a job of the demo, and whether it was put in just now; `pk` is the one in the note."""
    file = read((FIXTURES / f"{name}.json").read_text("utf-8"), firm, CatalogReader(firm))
    same = Q(name=file.job.name, client__name=file.job.client.name, requested_on=file.job.requested_on)
    with transaction.atomic():
        noted = Job.objects.filter(pk=pk).first() if pk else None
        job = noted or Job.objects.filter(same).first()
        if job:
            return job, False
        job = file.save().job
        billing().demo_job_added(name, job)
        return job, True


def _new_password() -> str:
    """Return a password such as "wkrt-mpzq-hdjn": easy to type on a phone, one of 10 to the 16th."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))


def _if_unchanged(user: User, password: str) -> str:
    """Return the password if it is still the user's; else an empty text."""
    return password if password and user.check_password(password) else ""


def _write_note(path: Path, note: Mapping[str, Any]) -> None:
    """Write the note whole or not at all, so that only the owner of the folder can read it."""
    draft = path.with_suffix(".new")
    with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        json.dump(note, file, indent=2)
    draft.replace(path)
