"""How long the estimate's PDF of a kitchen takes, warm in this process and cold in a fresh one."""

import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from statistics import median

import pytest

from estimating.documents.pdf import make_pdf
from estimating.snapshots.estimate import estimate_snapshot
from tests.estimating.plain_kitchen import kitchen, kitchen_words

ROOT = Path(__file__).resolve().parent.parent.parent
COLD = """
import time
began = time.perf_counter()
import os
os.environ["DJANGO_SETTINGS_MODULE"] = "config.settings"
import django
django.setup()
from estimating.documents.pdf import make_pdf
from estimating.snapshots.estimate import estimate_snapshot
from tests.estimating.plain_kitchen import kitchen, kitchen_words
snapshot = estimate_snapshot(kitchen_words(), kitchen())
ready = time.perf_counter()
assert make_pdf(snapshot).startswith(b"%PDF")
print(ready - began, time.perf_counter() - ready)
"""


def milliseconds(times: list[float]) -> str:
    return f"min {min(times) * 1000:.0f} ms, median {median(times) * 1000:.0f} ms of {len(times)}"


def times(act: Callable[[], object], count: int) -> list[float]:
    """Take the processor's time, which a busy machine changes less than the clock's."""
    found = []
    for _ in range(count):
        began = time.process_time()
        act()
        found.append(time.process_time() - began)
    return found


@pytest.mark.benchmark
@pytest.mark.usefixtures("draw_anew")
def test_estimate_pdf_warm(capsys: pytest.CaptureFixture[str]) -> None:
    snapshot = estimate_snapshot(kitchen_words(), kitchen())
    assert make_pdf(snapshot).startswith(b"%PDF")
    with capsys.disabled():
        print(f"\nestimate PDF, warm: {milliseconds(times(lambda: make_pdf(snapshot), 7))}")


@pytest.mark.benchmark
def test_estimate_pdf_cold(capsys: pytest.CaptureFixture[str]) -> None:
    runs = []
    for _ in range(3):
        done = subprocess.run(
            [sys.executable, "-c", COLD], capture_output=True, text=True, check=True, cwd=ROOT
        )
        runs.append([float(part) for part in done.stdout.split()])
    with capsys.disabled():
        print(f"\nestimate PDF, cold, library imported: {milliseconds([paper for _, paper in runs])}")
        print(f"the same with Django's start: {milliseconds([sum(run) for run in runs])}")
