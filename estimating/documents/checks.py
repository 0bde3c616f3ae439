"""What must hold of the database before anything is issued from it."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import Error
from django.db import connections

from estimating.documents import write_protection


def check_guard(app_configs: Any, databases: Sequence[str] | None = None, **more: Any) -> list[Error]:
    """One error for each trigger that is missing."""
    return [
        Error(
            f"The trigger {name} is missing: the database would let issued papers be changed.",
            hint="Run `python manage.py migrate --skip-checks`: it puts every trigger back. "
            "Then `python manage.py verify_documents` says whether anything was changed.",
            id="estimating.E001",
        )
        for alias in databases or ()
        for name in write_protection.missing(connections[alias])
    ]
