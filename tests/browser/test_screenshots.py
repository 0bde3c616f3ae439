"""The README's pictures, drawn of the demo's kitchen on a fixed day, and still like those that are committed.

`BENCHRULE_SCREENSHOTS=1 .venv/bin/pytest -q tests/browser/test_screenshots.py` puts them anew into `docs/`.
"""

import os
import subprocess
from collections.abc import Callable
from datetime import UTC, datetime
from io import BytesIO
from pathlib import Path

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from PIL import Image, ImageChops, ImageStat
from playwright.sync_api import Page

from catalog.starter.load import load
from demo.firm import load_firm
from demo.load import load_job
from estimating.models import Job
from tests.conftest import DESK, PHONE
from tests.drawn_once import drawn

pytestmark = [pytest.mark.browser, pytest.mark.one_database, pytest.mark.django_db(transaction=True)]

DOCS = Path(__file__).resolve().parent.parent.parent / "docs"
NOW = datetime(2026, 11, 24, 16, tzinfo=UTC)
COLORS = 48  # enough for a page, and a quarter of the size
COARSE = 8  # pictures are compared at this part of their size, where the machine's fonts don't show
MOST_OFF = 6.0  # of 255, on average: other words pass, another layout doesn't


@pytest.fixture
def kitchen(monkeypatch: pytest.MonkeyPatch) -> Job:
    monkeypatch.setattr(timezone, "now", lambda: NOW)
    firm, _ = load_firm()
    load()
    return load_job("kitchen", firm, None, NOW.date())[0]


def paper(signed_in: Client, job: Job, folder: Path) -> bytes:
    """The first page of the estimate."""
    answer = signed_in.get(reverse("estimate-pdf", args=[job.pk]))
    (folder / "paper.pdf").write_bytes(drawn(answer.content))
    draw = ["pdftoppm", "-singlefile", "-png", "-r", "80", "paper.pdf", "paper"]
    subprocess.run(draw, check=True, cwd=folder)
    return (folder / "paper.png").read_bytes()


def test_the_pictures_of_the_readme_look_like_the_pages(
    open_as_owner: Callable[..., Page], signed_in: Client, kitchen: Job, tmp_path: Path
) -> None:
    taken = {"paper": paper(signed_in, kitchen, tmp_path)}
    for name, size in (("desk", DESK), ("phone", PHONE)):
        page = open_as_owner(**size)
        page.goto(f"/jobs/{kitchen.pk}/work/")
        page.wait_for_load_state("networkidle")
        taken[name] = page.screenshot()
    for name, content in taken.items():
        picture = Image.open(BytesIO(content)).convert("RGB")
        path = DOCS / f"{name}.png"
        if os.environ.get("BENCHRULE_SCREENSHOTS"):
            DOCS.mkdir(exist_ok=True)
            picture.quantize(COLORS).save(path, optimize=True)
        kept = Image.open(path).convert("RGB")
        assert kept.size == picture.size, f"{path} has another size: draw it anew"
        small = (picture.width // COARSE, picture.height // COARSE)
        apart = ImageChops.difference(kept.resize(small).convert("L"), picture.resize(small).convert("L"))
        assert ImageStat.Stat(apart).mean[0] < MOST_OFF, f"{path} is out of date: draw it anew"
        assert path.stat().st_size < 150_000
