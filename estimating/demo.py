"""The demo: an invented firm, its catalog, its jobs, and a sign-in. What is there already stays as it is."""

import json
import os
import secrets
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q

from catalog.models import Firm
from catalog.rows.values import CatalogSpecs
from catalog.starter.load import LoadReport, load
from estimating.estimate_file.reading import read
from estimating.models import Job

FIXTURES = Path(settings.BASE_DIR) / "demo_fixtures"
JOBS = ("kitchen", "patch")
USER = "demo"
# What a higher app puts in with a new job, told its name here: filled by that app's `ready`.
WITH_JOB: list[Callable[[str, Job], None]] = []
_LETTERS = "abcdefghjkmnpqrstuvwxyz"  # none that is taken for another on a phone


@dataclass(frozen=True)
class Demo:
    """What a demo found or put in. `new_jobs` holds the names of those put in just now; `password` is
    empty where the user has given it another than the one made here."""

    firm: Firm
    firm_is_new: bool
    catalog: LoadReport
    jobs: Mapping[str, Job]
    new_jobs: frozenset[str]
    user: str
    password: str


def load_demo(data: Path) -> Demo:
    """Put in what is missing of the demo. `data` is the folder that keeps its password and its jobs.

    The catalog, each job and the sign-in go in whole or not at all. A job that was renamed is known again
    by the note kept in the folder.
    """
    path = data / "demo.json"
    user = get_user_model().objects.filter(username=USER).first()
    # without the user, the note is of another database
    note = json.loads(path.read_text()) if user and path.exists() else {}
    firm, firm_is_new = put_firm_in()
    catalog = load()
    jobs, new = {}, set()
    for name in JOBS:
        jobs[name], made = _job(name, firm, note.get("jobs", {}).get(name))
        new |= {name} if made else set()
    note = {"password": note.get("password", ""), "jobs": {name: job.pk for name, job in jobs.items()}}
    if user is None:
        note["password"] = _new_password()
    _keep(path, note)
    if user is None:
        user = get_user_model().objects.create_user(USER, password=note["password"])
    return Demo(firm, firm_is_new, catalog, jobs, frozenset(new), USER, _still(user, note["password"]))


def put_firm_in() -> tuple[Firm, bool]:
    """The firm, the demo's where nobody has written his own yet; and whether it was put in just now."""
    firm, blank = Firm.current(), Firm(pk=1, name="My firm")
    columns = [each.attname for each in Firm._meta.concrete_fields]
    if any(getattr(firm, name) != getattr(blank, name) for name in columns):
        return firm, False
    for name, typed in json.loads((FIXTURES / "firm.json").read_text("utf-8")).items():
        setattr(firm, name, typed)
    firm.full_clean()
    firm.save()
    return Firm.current(), True


def _job(name: str, firm: Firm, known: int | None) -> tuple[Job, bool]:
    """A job of the demo, and whether it was put in just now."""
    file = read((FIXTURES / f"{name}.json").read_text("utf-8"), firm, CatalogSpecs(firm))
    same = Q(name=file.job.name, client__name=file.job.client.name, requested_on=file.job.requested_on)
    with transaction.atomic():
        job = Job.objects.filter(pk=known).first() or Job.objects.filter(same).first()
        if job:
            return job, False
        job = file.save().job
        for add in WITH_JOB:
            add(name, job)
        return job, True


def _new_password() -> str:
    """Such as "wkrt-mpzq-hdjn": easy to type on a phone, one of 10 to the 16th."""
    return "-".join("".join(secrets.choice(_LETTERS) for _ in range(4)) for _ in range(3))


def _still(user: User, password: str) -> str:
    return password if password and user.check_password(password) else ""


def _keep(path: Path, note: Mapping[str, Any]) -> None:
    """Write the note so that only the owner of the folder reads it; whole, or not at all."""
    draft = path.with_suffix(".new")
    with open(os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600), "w") as file:
        json.dump(note, file, indent=2)
    draft.replace(path)
