"""`manage.py demo`: an invented firm with its jobs, put in once, whatever is there stays as it is."""

import io
import json
import socket
import stat
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError, call_command
from django.test import Client
from pytest_django import Settings

from access.management.commands import serve as serve_command
from catalog.models import Assembly, Firm, Material, Package
from demo.load import JOBS, SomebodysOwn, load_demo
from estimating.estimates.draft import read_draft
from estimating.models import Allowance, Estimate, Job, Room, WorkItem
from tests.pdf_text import text_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

TODAY = date(2026, 11, 24)
COUNTED = (Firm, Material, Package, Assembly, Job, Room, Estimate, WorkItem, User)


def counts() -> list[int]:
    return [model.objects.count() for model in COUNTED]


def test_the_demo_puts_in_a_firm_a_catalog_jobs_and_a_sign_in(tmp_path: Path, client: Client) -> None:
    demo = load_demo(tmp_path, TODAY)
    assert Firm.current().name == "Tolliver Room & Tile"
    assert [job.name for job in Job.objects.order_by("pk")] == ["Okonjo kitchen", "Hole behind the door"]
    assert demo.new_jobs == set(JOBS)
    assert client.login(username=demo.user, password=demo.password)


def test_running_it_again_doubles_nothing_and_gives_the_same_password(tmp_path: Path) -> None:
    first = load_demo(tmp_path, TODAY)
    before = counts()
    again = load_demo(tmp_path, TODAY)
    assert counts() == before
    assert again.password == first.password
    assert (again.firm_is_new, again.new_jobs) == (False, frozenset())


def test_what_was_changed_stays_changed(tmp_path: Path) -> None:
    demo = load_demo(tmp_path, TODAY)
    Firm.objects.update(name="Mine", minimum_charge=99)
    Job.objects.filter(pk=demo.jobs["kitchen"].pk).update(name="Our kitchen")
    Package.objects.update(price=1)
    before = counts()
    again = load_demo(tmp_path, TODAY)
    assert counts() == before
    assert again.firm.name == "Mine"
    assert again.jobs["kitchen"].name == "Our kitchen"
    assert set(Package.objects.values_list("price", flat=True)) == {1}


def test_it_is_not_put_where_a_firm_has_begun(tmp_path: Path) -> None:
    firm = Firm.current()
    firm.labor_rate = 55
    firm.save()
    with pytest.raises(SomebodysOwn, match="A firm has begun in this database"):
        load_demo(tmp_path, TODAY)
    assert not Job.objects.exists()


def test_its_dates_count_back_from_today(tmp_path: Path) -> None:
    kitchen = load_demo(tmp_path, date(2027, 3, 10)).jobs["kitchen"]
    assert kitchen.requested_on == date(2027, 3, 7)
    allowance = Allowance.objects.get(estimate__job=kitchen)
    assert allowance.decide_by == date(2027, 3, 17)  # ten days after the kitchen was asked for


def test_a_deleted_job_comes_back(tmp_path: Path) -> None:
    patch = load_demo(tmp_path, TODAY).jobs["patch"]
    WorkItem.objects.filter(estimate__job=patch).delete()
    patch.delete()
    assert load_demo(tmp_path, TODAY).new_jobs == {"patch"}


def test_a_note_of_another_database_is_not_believed(tmp_path: Path) -> None:
    demo = load_demo(tmp_path, TODAY)
    kitchen = demo.jobs["kitchen"].pk
    for model in (User, WorkItem, Job):
        model.objects.all().delete()
    other = Job.objects.create(
        pk=kitchen, client=demo.jobs["patch"].client, name="Real", requested_on="2026-11-01"
    )
    assert load_demo(tmp_path, TODAY).jobs["kitchen"] != other


def test_the_password_is_made_anew_for_each_database_and_only_the_owner_reads_it(tmp_path: Path) -> None:
    first = load_demo(tmp_path, TODAY).password
    User.objects.all().delete()
    assert load_demo(tmp_path, TODAY).password != first
    assert stat.S_IMODE((tmp_path / "demo.json").stat().st_mode) == 0o600


def test_a_password_that_was_changed_is_not_shown(tmp_path: Path) -> None:
    load_demo(tmp_path, TODAY)
    user = User.objects.get()
    user.set_password("a tape and a pencil")
    user.save()
    assert load_demo(tmp_path, TODAY).password == ""
    assert User.objects.get().check_password("a tape and a pencil")


@pytest.fixture
def run(tmp_path: Path, settings: Settings) -> Callable[..., list[str]]:
    """Runs the command and gives its lines."""
    settings.DATA_DIR = tmp_path
    settings.STATIC_ROOT = tmp_path / "static"

    def lines(*arguments: str) -> list[str]:
        out = io.StringIO()
        call_command("demo", *arguments, stdout=out)
        return out.getvalue().splitlines()

    return lines


def test_it_prints_where_the_kitchens_paper_is_and_what_it_comes_to(
    run: Callable[..., list[str]], tmp_path: Path
) -> None:
    lines = run("--no-serve")
    (path,) = tmp_path.glob("*.pdf")
    assert text_of(path.read_bytes())
    assert f"Estimate of Okonjo kitchen: {path}" in lines
    job = Job.objects.get(name="Okonjo kitchen")
    draft = read_draft(job.estimates.get(), Firm.current())
    assert f"Total: ${draft.priced.total:,.2f}" in lines


def test_it_prints_how_to_sign_in(run: Callable[..., list[str]], tmp_path: Path) -> None:
    password = json.loads((tmp_path / "demo.json").read_text())["password"] if run("--no-serve") else ""
    lines = run("--no-serve")
    assert "Sign in as: demo" in lines
    assert f"Password: {password}" in lines


def test_a_kitchen_that_has_no_price_is_said_so_and_the_site_is_served_all_the_same(
    run: Callable[..., list[str]],
) -> None:
    run("--no-serve")
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


def test_a_port_in_use_is_said_before_anything_is_done(run: Callable[..., list[str]]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is in use"):
            run("--port", str(port))
    assert not Job.objects.exists()
