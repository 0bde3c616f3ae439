"""`manage.py demo`: an invented firm with its jobs, put into an empty database."""

import socket
import stat
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from django.contrib.auth.models import User
from django.core.management import CommandError
from django.test import Client

from catalog.models import Firm
from demo.load import JOBS, SomebodysOwn, load_demo
from estimating.estimates.draft import read_draft
from estimating.models import Allowance, Job
from tests.pdf_text import text_of

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

TODAY = date(2026, 11, 24)


def test_the_demo_puts_in_a_firm_a_catalog_jobs_and_a_sign_in(tmp_path: Path, client: Client) -> None:
    demo = load_demo(tmp_path, TODAY)
    assert Firm.current().name == "Tolliver Room & Tile"
    assert [job.name for job in Job.objects.order_by("pk")] == ["Okonjo kitchen", "Hole behind the door"]
    assert demo.new_jobs == set(JOBS)
    assert client.login(username=demo.user, password=demo.password)


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


def test_the_password_is_made_anew_for_each_database_and_only_the_owner_reads_it(tmp_path: Path) -> None:
    first = load_demo(tmp_path, TODAY).password
    User.objects.all().delete()
    assert load_demo(tmp_path, TODAY).password != first
    assert stat.S_IMODE((tmp_path / "demo.json").stat().st_mode) == 0o600


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


def test_a_port_in_use_is_said_before_anything_is_done(run: Callable[..., list[str]]) -> None:
    with socket.create_server(("127.0.0.1", 0)) as listener:
        port = listener.getsockname()[1]
        with pytest.raises(CommandError, match=f"Port {port} is in use"):
            run("--port", str(port))
    assert not Job.objects.exists()
