"""`manage.py estimate`: a file in, the whole arithmetic out as JSON, or a sentence that names the place."""

import io
import json
import sys
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from django.db import OperationalError

from catalog.models import Assembly, Firm, Package
from catalog.money.markup import Markup
from estimating.documents.pdf import PangoMissing
from estimating.models import Job
from tests.factories import make_firm, make_painting
from tests.pdf_text import text_of

pytestmark = pytest.mark.django_db

JOB: dict[str, Any] = {
    "job": {
        "name": "Kitchen",
        "address": "418 Larkspur Lane",
        "date": "2026-11-24",
        "tax_policy": "consumer",
        "tax_percent": "5",
        "client": {"name": "Marisol Okonjo"},
    },
    "rooms": [{"name": "Kitchen", "shape": "rectangle", "length": "12'", "width": "10'", "height": "8'"}],
    "work": [{"assembly": "floor-paint", "rooms": [{"room": "Kitchen"}]}],
    "pricing": {"runs": 0},
}


@pytest.fixture
def painting(db: None) -> Assembly:
    """A floor paint of 60 sq ft a gallon at $40.00, an hour for 100 sq ft at $70.00; 20 % on all."""
    twenty = Markup(Decimal(20))
    make_firm(labor_markup=twenty, material_markup=twenty)
    return make_painting()


@pytest.fixture
def job_file(tmp_path: Path) -> Path:
    path = tmp_path / "job.json"
    path.write_text(json.dumps(JOB))
    return path


def estimate(*arguments: str) -> dict[str, Any]:
    out = io.StringIO()
    call_command("estimate", *arguments, stdout=out)
    printed: dict[str, Any] = json.loads(out.getvalue())
    return printed


def refusal(*arguments: str) -> str:
    with pytest.raises(CommandError) as error:
        estimate(*arguments)
    assert error.value.returncode == 1
    return str(error.value)


def test_the_rooms_are_measured(painting: Assembly, job_file: Path) -> None:
    (room,) = estimate(str(job_file))["rooms"]
    assert room["room"] == "Kitchen"
    assert room["measures"]["floor"] == "120 sq ft"
    assert room["measures"]["wall_net"] == "352 sq ft"
    assert room["measures"]["inside_corners"] == "4 each"


def test_each_requirement_tells_how_it_was_worked_out(painting: Assembly, job_file: Path) -> None:
    (work,) = estimate(str(job_file))["work"]
    paint, roll = work["requirements"]
    assert (paint["kind"], paint["quantity"]) == ("material", "2 gal")
    assert paint["arithmetic"] == "Floor 120 sq ft, 60 sq ft per gal = 2 gal"
    assert paint["path"] == ["floor paint"]
    assert (roll["kind"], roll["quantity"], work["hours"]) == ("labour", "1.2 hours", "1.2 hours")


def test_materials_come_in_whole_packages_with_what_is_left_over(painting: Assembly, job_file: Path) -> None:
    Package.objects.update(size="1.5", price="50.00")
    (line,) = estimate(str(job_file))["materials"]
    assert line["required"] == "2 gal"
    assert line["packages"] == [{"count": 2, "holds": "1.5 gal", "price": "50.00"}]
    assert (line["left_over"], line["cost"]) == ("1 gal", "100.00")
    assert line["cost_by_work"] == {"work-1": "100.00"}


def test_money_is_text_to_the_cent_and_the_lines_sum_to_the_total(painting: Assembly, job_file: Path) -> None:
    printed = estimate(str(job_file))
    (line,) = printed["lines"]
    # 1.2 h at 70.00 and 80.00 of paint with 5 % tax, both with 20 % on top
    assert (line["labour"], line["material"], line["tax_paid_at_the_store"]) == ("84.00", "80.00", "4.00")
    assert line["price"] == "201.60"
    assert printed["totals"]["total"] == "201.60"
    assert printed["totals"]["cost"] == "168.00"
    assert printed["phases"] == {"finish": "201.60"}
    assert printed["problems"] == []


def test_what_stands_in_the_way_of_a_price_is_told(painting: Assembly, job_file: Path) -> None:
    Package.objects.all().delete()
    printed = estimate(str(job_file))
    assert printed["problems"] == ["paint has no price: give it a package in the catalog."]
    assert printed["materials"][0]["cost"] is None


def test_nothing_is_stored(painting: Assembly, job_file: Path) -> None:
    estimate(str(job_file))
    assert not Job.objects.exists()


def test_a_dash_reads_what_is_piped_in(painting: Assembly, monkeypatch: pytest.MonkeyPatch) -> None:
    piped = io.TextIOWrapper(io.BytesIO(json.dumps(JOB).encode()))
    monkeypatch.setattr(sys, "stdin", piped)
    assert estimate("-")["totals"]["total"] == "201.60"


def test_a_bad_file_is_refused_with_the_place(painting: Assembly, tmp_path: Path) -> None:
    path = tmp_path / "job.json"
    path.write_text(json.dumps({**JOB, "rooms": [{**JOB["rooms"][0], "length": "-12"}]}))
    assert refusal(str(path)).startswith("rooms[0].length: ")


def test_a_missing_file_is_named() -> None:
    assert refusal("nowhere.json") == "nowhere.json: the file can't be read (No such file or directory)."


def test_a_file_in_another_encoding_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "job.json"
    path.write_bytes('{"name": "Café"}'.encode("latin-1"))
    assert refusal(str(path)) == f"{path}: the file isn't in UTF-8: save it so."


def test_an_empty_catalog_names_the_command_that_fills_it(job_file: Path) -> None:
    assert "python manage.py starter_catalog" in refusal(str(job_file))


def test_a_database_without_tables_names_the_command_that_makes_them(
    job_file: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def no_table() -> Firm:
        raise OperationalError("no such table: catalog_firm")

    monkeypatch.setattr(Firm, "current", no_table)
    assert refusal(str(job_file)) == "The database isn't ready: python manage.py migrate"


def test_the_paper_is_written_where_it_is_asked_for(
    painting: Assembly, job_file: Path, tmp_path: Path
) -> None:
    out = tmp_path / "estimate.pdf"
    printed = estimate(str(job_file), "--pdf", str(out))
    assert printed["totals"]["total"] == "201.60"
    assert "201.60" in text_of(out.read_bytes())


def test_no_paper_is_made_of_work_that_has_no_price(
    painting: Assembly, job_file: Path, tmp_path: Path
) -> None:
    Package.objects.all().delete()
    out = tmp_path / "estimate.pdf"
    assert "paint has no price" in refusal(str(job_file), "--pdf", str(out))
    assert not out.exists()


def test_without_pango_the_line_that_brings_it_is_the_error(
    painting: Assembly, job_file: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def missing(snapshot: object) -> bytes:
        raise PangoMissing("Debian: apt-get install libpango-1.0-0")

    monkeypatch.setattr("estimating.management.commands.estimate.make_pdf", missing)
    assert refusal(str(job_file), "--pdf", str(tmp_path / "x.pdf")).startswith("Debian: apt-get install")
