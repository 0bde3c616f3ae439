"""PDFs drawn in a process beside the server, one at a time, so that pages are answered meanwhile.

Drawing takes a second of a processor, and threads of one Python process share one. Nothing is drawn here
until `start` is called, which the server does; commands draw in their own process.
"""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

import django

Result = TypeVar("Result")

# The libraries that draw keep some of each page: 0.2 MB an estimate. What a new process takes to begin is
# little beside so many drawings.
DRAWINGS_A_PROCESS = 100

_starting = threading.Lock()
_is_started = False
_process: ProcessPoolExecutor | None = None
_drawn = 0  # by that process


def start(at_once: bool = True) -> None:
    """Have PDFs drawn beside this process from now on.

    At once, the first one needn't wait for the library; else the process is begun with the first, and a
    site on which nothing is drawn takes half the memory.
    """
    global _is_started
    _is_started = True
    if at_once:
        _hand_over(_nothing)


def stop() -> None:
    """End the process; PDFs are drawn in this one again."""
    global _process, _is_started
    with _starting:
        if _process:
            _process.shutdown(cancel_futures=True)
        _process, _is_started = None, False


def beside(draw: Callable[..., Result], *given: object) -> Result:
    """Return what a function of a module gives, run beside this process where that was started.

    What it raises is raised here. A process that died, as when memory ran out, is replaced once.
    """
    if not _is_started:
        return draw(*given)
    process, drawing = _hand_over(draw, *given)
    try:
        return drawing.result()
    except BrokenProcessPool:
        return _hand_over(draw, *given, instead_of=process)[1].result()


def _hand_over(
    draw: Callable[..., Result], *given: object, instead_of: ProcessPoolExecutor | None = None
) -> "tuple[ProcessPoolExecutor, Future[Result]]":
    """Give a drawing to the process, or to a new one where that is broken or has drawn enough."""
    global _process, _drawn
    with _starting:
        if _process and _drawn >= DRAWINGS_A_PROCESS:
            _process.shutdown(wait=False)  # it ends once it has drawn what it was given
            _process = None
        if _process is None or _process is instead_of:
            _process, _drawn = _new_process(), 0
        try:
            drawing = _process.submit(draw, *given)
        except BrokenProcessPool:
            _process, _drawn = _new_process(), 0
            drawing = _process.submit(draw, *given)
        _drawn += 1
        return _process, drawing


def _new_process() -> ProcessPoolExecutor:
    spawn = multiprocessing.get_context("spawn")  # a fork would copy what threads hold locked
    return ProcessPoolExecutor(1, mp_context=spawn, initializer=_ready)


def _ready() -> None:
    """Load the site's models and the renderer; give way to the server where both want a processor."""
    os.nice(5)
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # Ctrl+C stops the server, once it has answered
    django.setup()
    from estimating.documents.pdf import PangoMissing, renderer

    try:
        renderer()
    except PangoMissing:
        return  # said again, to whoever asks for a PDF


def _nothing() -> None:
    return None
