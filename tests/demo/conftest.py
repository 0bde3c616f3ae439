"""The demo without its year, which takes seconds to make; `test_year` makes it itself."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from django.core.management import call_command
from pytest_django import Settings


@pytest.fixture(autouse=True)
def without_a_year(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("demo.load.load_year", lambda firm, today: [])


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
