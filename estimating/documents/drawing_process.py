"""PDFs drawn in a process beside the server, one at a time, so that pages are answered meanwhile.

Drawing takes a second of a processor, and threads of one Python process share one. Nothing is drawn here
until `start` is called, which the server does; commands draw in their own process.
"""

import multiprocessing
import os
import signal
import threading
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from typing import TypeVar

import django

Result = TypeVar("Result")

_starting = threading.Lock()
_is_started = False
_process: ProcessPoolExecutor | None = None


def start(at_once: bool = True) -> None:
    """Have PDFs drawn beside this process from now on.

    At once, the first one needn't wait for the library; else the process is begun with the first, and a
    site on which nothing is drawn takes half the memory.
    """
    global _is_started
    _is_started = True
    if at_once:
        _new_process().submit(_nothing)


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
    process = _process or _new_process()
    try:
        return process.submit(draw, *given).result()
    except BrokenProcessPool:
        return _new_process(instead_of=process).submit(draw, *given).result()


def _new_process(instead_of: ProcessPoolExecutor | None = None) -> ProcessPoolExecutor:
    global _process
    with _starting:
        if _process is None or _process is instead_of:
            spawn = multiprocessing.get_context("spawn")  # a fork would copy what threads hold locked
            _process = ProcessPoolExecutor(1, mp_context=spawn, initializer=_ready)
        return _process


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
