"""How long people wait who use the site that `manage.py serve` serves, on the firm that `ten_years` made.

    BENCHRULE_DATA=FOLDER .venv/bin/python -m tests.benchmarks.users --port 8000 [--users 20] [--think 5]

Each is signed in and opens pages of `pages.py` by lot, but for files; between two he reads for a time that is
exponentially distributed, of so many seconds on average (0: never). The time is by the clock, from the
request to the last byte: whatever else the machine does is in it.
"""

import http.client
import os
import random
import sys
import threading
import time
from argparse import ArgumentParser

import django

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
if __name__ == "__main__":
    django.setup()

from django.contrib.auth import get_user_model
from django.db import connections
from django.test import Client as Browser

from tests.benchmarks.pages import addresses

LONGEST_THOUGHT = 6  # times the average


def main(arguments: list[str]) -> None:
    parser = ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--port", type=int, default=8000)
    parser.add_argument("--users", type=int, default=20)
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--think", type=float, default=5, help="seconds, on average")
    told = parser.parse_args(arguments)
    pages = [page for page in addresses() if not page[0].startswith(("CSV", "PDF"))]
    sessions = [_session() for _ in range(told.users)]
    connections.close_all()
    took: list[tuple[float, str]] = []
    wrong: list[str] = []
    began = time.monotonic()
    until = began + told.seconds
    users = [
        threading.Thread(target=_use, args=(told.port, session, pages, told.think, until, place, took, wrong))
        for place, session in enumerate(sessions)
    ]
    for user in users:
        user.start()
    for user in users:
        user.join()
    waited = sorted(1000 * seconds for seconds, _ in took)
    p50, p95 = waited[len(waited) // 2], waited[int(len(waited) * 0.95)]
    a_second = len(took) / (time.monotonic() - began)
    print(f"{told.users} users, {told.think:g} s between pages: {len(took)} pages, {a_second:.1f} a second")
    print(f"p50 {p50:.0f} ms, p95 {p95:.0f} ms, longest {waited[-1]:.0f} ms, {len(wrong)} wrong", *wrong[:5])
    for seconds, name in sorted(took, reverse=True)[:5]:
        print(f"{1000 * seconds:.0f} ms: {name}")


def _session() -> str:
    browser = Browser(SERVER_NAME="localhost")
    browser.force_login(get_user_model().objects.earliest("pk"))
    return browser.session.session_key or ""


def _use(
    port: int,
    session: str,
    pages: list[tuple[str, str]],
    think: float,
    until: float,
    place: int,
    took: list[tuple[float, str]],
    wrong: list[str],
) -> None:
    dice = random.Random(place)
    connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
    time.sleep(dice.uniform(0, think))
    while time.monotonic() < until:
        name, address = dice.choice(pages)
        began = time.perf_counter()
        try:
            connection.request("GET", address, headers={"Cookie": f"sessionid={session}"})
            answer = connection.getresponse()
            answer.read()
        except (OSError, http.client.HTTPException) as error:
            wrong.append(f"{name}: {error!r}")
            connection.close()
            continue
        if answer.status != 200:
            wrong.append(f"{name}: {answer.status}")
        took.append((time.perf_counter() - began, name))
        if think:
            time.sleep(min(dice.expovariate(1 / think), LONGEST_THOUGHT * think))


if __name__ == "__main__":
    main(sys.argv[1:])
