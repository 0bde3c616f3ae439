"""Puts the demo into a database of its own: firm, catalog, jobs, a sign-in. What is there stays as it is."""

import json
import os
import secrets
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from django.contrib.auth import get_user_model
from django.contrib.auth.models import User
from django.db import transaction
from django.db.models import Q
from django.urls import reverse

from catalog.models import Firm
from catalog.rows.values import CatalogReader
from catalog.starter.load import LoadReport, load
from demo.firm import FIXTURES, is_described, load_firm
from demo.payments import add_plan
from demo.year import load_year
from estimating.estimate_file.reading import read
from estimating.models import Document, Job

JOBS = {"kitchen": 3, "patch": 1}  # days before today on which it was asked for
USER = "demo"
_LETTERS = "abcdefghjkmnpqrstuvwxyz"  # none that looks like another on a phone


class SomebodysOwn(RuntimeError):
    """The database is somebody's own; the message says so in a plain sentence."""


@dataclass(frozen=True)
class Demo:
    """What the demo consists of, found or put in.

    `new_jobs` holds the names of the jobs that were put in just now; `client_pages` are the paths of the
    clients' links by what they open; `password` is empty where the user has changed it from ours.
    """

    firm: Firm
    firm_is_new: bool
    catalog: LoadReport
    jobs: Mapping[str, Job]
    new_jobs: frozenset[str]
    client_pages: Mapping[str, str]
    user: str
    password: str


def load_demo(data: Path, today: date) -> Demo:
    """Put in what is missing of the demo, with dates that count back from a day.

    `data` is the folder with the note of the demo's password, jobs and clients' links. The catalog, each job
    and the sign-in go in whole or not at all. A job that was renamed is recognized by the note. Raises
    SomebodysOwn.
    """
    path = data / "demo.json"
    user = get_user_model().objects.filter(username=USER).first()
    # without the user, the note is of another database
    note = json.loads(path.read_text()) if user and path.exists() else {}
    if not note:
        _check_is_free()
    firm, firm_is_new = load_firm()
    catalog = load()
    pages = note.get("client_pages")
    if pages is None:
        pages = {} if Document.objects.exists() else _load_year(firm, today)
    jobs, new = {}, set()
    for name, days_ago in JOBS.items():
        asked_on = today - timedelta(days=days_ago)
        jobs[name], is_new = load_job(name, firm, note.get("jobs", {}).get(name), asked_on)
        new |= {name} if is_new else set()
    note = {
        "password": note.get("password", ""),
        "jobs": {name: job.pk for name, job in jobs.items()},
        "client_pages": pages,
    }
    if user is None:
        note["password"] = _new_password()
    _write_note(path, note)
    password = note["password"]
    if user is None:
        get_user_model().objects.create_user(USER, password=password)
    else:
        password = _if_unchanged(user, password)
    return Demo(firm, firm_is_new, catalog, jobs, frozenset(new), pages, USER, password)


def _check_is_free() -> None:
    """Raise SomebodysOwn where a firm has begun in this database."""
    firm = Firm.current()
    name = json.loads((FIXTURES / "firm.json").read_text("utf-8"))["name"]
    if (is_described(firm) and firm.name != name) or (Job.objects.exists() and not is_described(firm)):
        raise SomebodysOwn(
            "A firm has begun in this database, so the demo isn't put into it. Without BENCHRULE_DATA and "
            "DATABASE_URL, manage.py demo uses a folder of its own, demo_data/."
        )


def _load_year(firm: Firm, today: date) -> dict[str, str]:
    """Put in the year of jobs; return the paths of the clients' links by what they open."""
    pages = load_year(firm, today)
    return {
        f"{page.job.client.name}: {page.job.name}": reverse("client-open", args=[page.secret])
        for page in pages
    }


def load_job(name: str, firm: Firm, pk: int | None, asked_on: date) -> tuple[Job, bool]:
    """Return a job of the demo, and whether it was put in just now; `pk` is the one in the note."""
    text = (FIXTURES / f"{name}.json").read_text("utf-8")
    file = read(json.dumps(_moved(json.loads(text), asked_on)), firm, CatalogReader(firm))
    same = Q(name=file.job.name, client__name=file.job.client.name)
    with transaction.atomic():
        noted = Job.objects.filter(pk=pk).first() if pk else None
        job = noted or Job.objects.filter(same).first()
        if job:
            return job, False
        job = file.save().job
        add_plan(name, job)
        return job, True


def _moved(told: dict[str, Any], asked_on: date) -> dict[str, Any]:
    """Return a job's file with its dates moved so that it was asked for on a day."""
    moves = asked_on - date.fromisoformat(told["job"]["date"])
    rows = {
        kind: [
            row | {"decide_by": (date.fromisoformat(row["decide_by"]) + moves).isoformat()}
            if "decide_by" in row
            else row
            for row in told.get(kind, [])
        ]
        for kind in ("work", "allowances")
    }
    return {**told, **rows, "job": {**told["job"], "date": asked_on.isoformat()}}


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
