"""`manage.py demo` once more: nothing is doubled, and whatever is there stays as it is."""

import json
import shutil
import socket
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.contrib.auth.models import User

from access.management.commands import serve as serve_command
from catalog.models import Assembly, Firm, Material, Package
from demo.load import load_demo
from estimating.models import Estimate, Job, Room, WorkItem

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

TODAY = date(2026, 11, 24)
COUNTED = (Firm, Material, Package, Assembly, Job, Room, Estimate, WorkItem, User)


@pytest.fixture(scope="module")
def loaded(kept_rows: None, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The note of the demo, which is put in once for all tests here."""
    folder = tmp_path_factory.mktemp("demo")
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("demo.load.load_year", lambda firm, today: [])
        load_demo(folder, TODAY)
    return folder / "demo.json"


@pytest.fixture(autouse=True)
def note(loaded: Path, db: None, tmp_path: Path) -> None:
    """Begin each test with the demo there and a copy of its note."""
    shutil.copy(loaded, tmp_path)


def noted(folder: Path) -> dict[str, Any]:
    """What the note in a folder says."""
    said: dict[str, Any] = json.loads((folder / "demo.json").read_text())
    return said


def counts() -> list[int]:
    return [model.objects.count() for model in COUNTED]


def test_running_it_again_doubles_nothing_and_gives_the_same_password(tmp_path: Path) -> None:
    before, password = counts(), noted(tmp_path)["password"]
    again = load_demo(tmp_path, TODAY)
    assert counts() == before
    assert again.password == password != ""
    assert (again.firm_is_new, again.new_jobs) == (False, frozenset())


def test_what_was_changed_stays_changed(tmp_path: Path) -> None:
    Firm.objects.update(name="Mine", minimum_charge=99)
    Job.objects.filter(name="Okonjo kitchen").update(name="Our kitchen")
    Package.objects.update(price=1)
    before = counts()
    again = load_demo(tmp_path, TODAY)
    assert counts() == before
    assert again.firm.name == "Mine"
    assert again.jobs["kitchen"].name == "Our kitchen"
    assert set(Package.objects.values_list("price", flat=True)) == {1}


def test_a_deleted_job_comes_back(tmp_path: Path) -> None:
    patch = Job.objects.get(pk=noted(tmp_path)["jobs"]["patch"])
    WorkItem.objects.filter(estimate__job=patch).delete()
    patch.delete()
    assert load_demo(tmp_path, TODAY).new_jobs == {"patch"}


def test_a_note_of_another_database_is_not_believed(tmp_path: Path) -> None:
    kitchen = noted(tmp_path)["jobs"]["kitchen"]
    client = Job.objects.get(pk=kitchen).client
    for model in (User, WorkItem, Job):
        model.objects.all().delete()
    other = Job.objects.create(pk=kitchen, client=client, name="Real", requested_on="2026-11-01")
    assert load_demo(tmp_path, TODAY).jobs["kitchen"] != other


def test_a_password_that_was_changed_is_not_shown(tmp_path: Path) -> None:
    user = User.objects.get()
    user.set_password("a tape and a pencil")
    user.save()
    assert load_demo(tmp_path, TODAY).password == ""
    assert User.objects.get().check_password("a tape and a pencil")


def test_it_prints_how_to_sign_in(run: Callable[..., list[str]], tmp_path: Path) -> None:
    password = noted(tmp_path)["password"]
    lines = run("--no-serve")
    assert "Sign in as: demo" in lines
    assert f"Password: {password}" in lines


def test_a_kitchen_that_has_no_price_is_said_so_and_the_site_is_served_all_the_same(
    run: Callable[..., list[str]],
) -> None:
    Package.objects.filter(material__code="thinset").update(retired=True)
    lines = run("--no-serve")
    assert "No paper of Okonjo kitchen was made." in lines
    assert any(line.startswith("Sign in as") for line in lines)


def test_it_serves_what_it_prepared(run: Callable[..., list[str]], monkeypatch: pytest.MonkeyPatch) -> None:
    places: list[tuple[str, int]] = []

    def note(held: socket.socket, rest_after: float | None) -> None:
        with held:
            places.append(held.getsockname())

    monkeypatch.setattr(serve_command, "serve", note)
    lines = run("--port", "8014")
    assert lines.index("Sign in as: demo") < lines.index("Open http://127.0.0.1:8014/")
    assert places == [("127.0.0.1", 8014)]
