"""Issuing in processes of its own, for tests: `python -m tests.estimating.issuing_process kill`, `race`
or `sign`.

Prints as JSON what it left in the database, which the environment names as it does for the site, and which
is migrated.
"""

import contextlib
import json
import os
import signal
import sys
import threading
from collections.abc import Callable, Mapping
from functools import partial
from itertools import count
from secrets import token_hex
from typing import Any

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
django.setup()

from django.conf import settings  # noqa: E402
from django.db import connection, connections  # noqa: E402

from estimating.client.signing import Refused, Visit, accept  # noqa: E402
from estimating.documents.issue import CannotIssue, UnissuedDocument, issue  # noqa: E402
from estimating.models import Acceptance, ClientLink, Counter, Document, DocumentEvent  # noqa: E402
from estimating.verification.documents import faults  # noqa: E402
from tests.drawn_once import drawn_once  # noqa: E402
from tests.estimating.issuing import AT, another_floor, issue_now, painted_floor, unissued  # noqa: E402

PROCESSES, THREADS = 2, 8


def left() -> dict[str, Any]:
    """What the database holds."""
    found = {
        "numbers": list(Document.objects.order_by("number").values_list("number", flat=True)),
        "events": list(DocumentEvent.objects.values_list("kind", flat=True)),
        "counters": dict(Counter.objects.values_list("series", "last")),
        "faults": list(faults()),
    }
    connections.close_all()
    return found


def in_a_child(work: Callable[[], None]) -> int:
    """Start a process that does the work; its id. No connection is carried over."""
    connections.close_all()
    child = os.fork()
    if not child:
        work()
        connections.close_all()
        os._exit(0)
    return child


def dies_at(step: int, paper: UnissuedDocument) -> bool:
    """Issue in a process that is killed at a step: before a statement, before the commit or after it.
    False when it came to its end before that step."""

    def work() -> None:
        steps = count(1)

        def next_step() -> None:
            if next(steps) == step:
                os.kill(os.getpid(), signal.SIGKILL)

        def before_statement(execute: Callable[..., Any], *statement: Any) -> Any:
            next_step()
            return execute(*statement)

        database: Any = connection  # its commit is private to Django
        commit = database._commit

        def around_commit() -> None:
            next_step()
            commit()
            next_step()

        database._commit = around_commit
        with connection.execute_wrapper(before_statement):
            issue(paper, AT)

    _, status = os.waitpid(in_a_child(work), 0)
    return os.WIFSIGNALED(status)


def kill() -> Mapping[str, Any]:
    """What is left after a kill at each step of a first issue, then at each step of a revision."""
    estimate = painted_floor()
    found: dict[str, list[dict[str, Any]]] = {"first": [], "revision": []}
    for part in found:
        paper = unissued(estimate)
        for step in count(1):
            died = dies_at(step, paper)
            found[part].append(left())
            if not died:
                break
        estimate.items.update(extra_hours=3)
    return found


def race() -> Mapping[str, Any]:
    """16 threads in two processes issue a paper each; then all of them one paper more."""
    first = painted_floor()
    estimates = [first, *(another_floor(first) for _ in range(PROCESSES * THREADS - 1))]
    all_at_once([partial(issue_now, estimate) for estimate in estimates])
    after_each = left()
    paper = unissued(another_floor(first))
    all_at_once([lambda: issue(paper, AT)] * (PROCESSES * THREADS))
    return {"each": after_each, "same": left()}


def sign() -> Mapping[str, Any]:
    """16 threads in two processes sign one paper; then one paper is signed and revised at once."""
    first = painted_floor()
    alone, revised = issue_now(first), issue_now(another := another_floor(first))
    another.items.update(extra_hours=1)
    paper = unissued(another)
    all_at_once([lambda: _sign(alone)] * (PROCESSES * THREADS))
    all_at_once([lambda: _sign(revised), lambda: _revise(paper)])
    states = {document.pk: document.state() for document in Document.objects.order_by("pk")}
    signed = list(Acceptance.objects.order_by("pk").values_list("document", flat=True))
    return {"states": list(states.values()), "signed": [states[pk] for pk in signed], **left()}


def _sign(document: Document) -> None:
    link = ClientLink(document=document, name="Marisol", made_at=AT)
    visit = Visit(link, AT, AT.date(), "203.0.113.9", "A phone")
    link.secret_sha256 = link.once = token_hex(32)
    link.name, link.expires_at = link.once, AT
    link.save()
    with contextlib.suppress(Refused):
        accept(visit, "Marisol Okonjo", (), f"{document.total.amount:.2f}")


def _revise(paper: UnissuedDocument) -> None:
    with contextlib.suppress(CannotIssue):
        issue(paper, AT)


def all_at_once(works: list[Callable[[], object]]) -> None:
    children = [in_a_child(partial(_in_threads, works[part::PROCESSES])) for part in range(PROCESSES)]
    ends = [os.waitpid(child, 0)[1] for child in children]
    assert ends == [0] * PROCESSES, ends


def _in_threads(works: list[Callable[[], object]]) -> None:
    failed: list[BaseException] = []

    def run(work: Callable[[], object]) -> None:
        try:
            work()
        except BaseException as error:
            failed.append(error)
        finally:
            connections.close_all()

    threads = [threading.Thread(target=run, args=[work]) for work in works]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    if failed:
        print(failed, file=sys.stderr, flush=True)
        os._exit(1)


if __name__ == "__main__":
    # It is the transactions that are struck and raced for; drawing is done before each, and nobody reads it.
    with drawn_once(settings.DATA_DIR / "pdfs"):
        print(json.dumps({"kill": kill, "race": race, "sign": sign}[sys.argv[1]]()))
