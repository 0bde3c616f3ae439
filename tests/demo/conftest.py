"""The demo without its year, which takes seconds to make; `test_year` makes it itself."""

import pytest


@pytest.fixture(autouse=True)
def without_a_year(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("demo.load.load_year", lambda firm, today: [])
