"""Starting the site, or a command, as a process of its own on a data folder."""

import os
import subprocess
import sys
from pathlib import Path

from django.conf import settings

STARTED, NOT_STARTED = 0, 3


def run(data: Path, *command: str, **environment: str) -> subprocess.CompletedProcess[str]:
    """Run Python in the checkout; no traceback may ever come of it."""
    done = subprocess.run(
        [sys.executable, *command],
        cwd=settings.BASE_DIR,
        env={**os.environ, "BENCHRULE_DATA": f"{data}", **environment},
        capture_output=True,
        text=True,
        errors="replace",
    )
    assert "Traceback" not in done.stderr, done.stderr
    return done


def start(data: Path, **environment: str) -> subprocess.CompletedProcess[str]:
    """Do what a server does first: import the application."""
    return run(data, "-c", "import config.wsgi", **environment)
