"""PDFs are drawn beside the server, and come out the same."""

import os
import signal
from collections.abc import Iterator

import pytest

from estimating.documents import drawing_process, pdf
from estimating.documents.drawing_process import beside
from estimating.documents.pdf import make_pdf
from estimating.snapshots.shopping_list import shopping_snapshot
from tests.estimating.plain_kitchen import kitchen, kitchen_list

pytestmark = pytest.mark.usefixtures("draw_anew")


@pytest.fixture(scope="module")
def started() -> Iterator[None]:
    """One process for the tests of this file that want one: it takes two seconds to begin."""
    drawing_process.start()
    yield
    drawing_process.stop()


def process_id() -> int:
    return os.getpid()


def die() -> None:
    os.kill(os.getpid(), signal.SIGKILL)


def refuse() -> None:
    raise ValueError("The drawing says why.")


def test_nothing_is_drawn_elsewhere_until_that_is_started() -> None:
    assert beside(process_id) == os.getpid()


@pytest.mark.usefixtures("started")
def test_a_pdf_that_is_drawn_beside_has_the_same_bytes(monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = make_pdf(shopping_snapshot(kitchen_list(), kitchen()))
    assert beside(process_id) != os.getpid()
    monkeypatch.setattr(pdf, "beside", lambda draw, *given: draw(*given))
    assert make_pdf(shopping_snapshot(kitchen_list(), kitchen())) == drawn


@pytest.mark.usefixtures("started")
def test_ctrl_c_is_left_to_the_server_which_finishes_what_it_answers() -> None:
    process = beside(process_id)
    os.kill(process, signal.SIGINT)
    assert beside(process_id) == process


@pytest.mark.usefixtures("started")
def test_what_goes_wrong_there_is_raised_here_and_a_process_that_died_is_replaced() -> None:
    first = beside(process_id)
    with pytest.raises(ValueError, match="says why"):
        beside(refuse)
    assert beside(process_id) == first
    process = drawing_process._process
    assert process is not None
    process.submit(die).exception()
    assert beside(process_id) not in (first, os.getpid())


def test_not_started_at_once_it_begins_with_the_first_drawing() -> None:
    drawing_process.stop()
    drawing_process.start(at_once=False)
    try:
        assert drawing_process._process is None
        assert beside(process_id) != os.getpid()
    finally:
        drawing_process.stop()


def test_after_so_many_drawings_a_new_process_draws(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(drawing_process, "DRAWINGS_A_PROCESS", 2)
    drawing_process.stop()
    drawing_process.start(at_once=False)
    try:
        first = beside(process_id)
        assert beside(process_id) == first
        assert beside(process_id) not in (first, os.getpid())
    finally:
        drawing_process.stop()
