"""The whole service is killed under eight writers, and all that it acknowledged is there, once."""

import json
import os
import subprocess
import sys

import pytest
from django.conf import settings

from tests.drill.kill_drill import EACH


@pytest.mark.one_database
def test_a_few_kills_of_the_service_lose_and_double_nothing_that_was_acknowledged() -> None:
    """`python -m tests.drill.kill_drill --kills 500` is the same for long."""
    command = [sys.executable, "-m", "tests.drill.kill_drill", "--kills", "3", "--bill-jobs", "1"]
    command += ["--longest", "2"]
    environment = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    done = subprocess.run(command, cwd=settings.BASE_DIR, env=environment, capture_output=True, text=True)
    assert done.stdout, done.stderr
    found = json.loads(done.stdout)
    assert found["wrong"] == []
    assert found["kills"] == 3
    assert [what for what in EACH if not found["done"].get(what)] == []
