"""What must hold of the database before anything is issued from it."""

from collections.abc import Sequence
from typing import Any

from django.core.checks import Error
from django.db import connections

from estimating.documents import write_protection


def check_triggers(app_configs: Any, databases: Sequence[str] | None = None, **kwargs: Any) -> list[Error]:
    """Return one error for each trigger of the write protection that is missing."""
    return [
        Error(
            f"The trigger {name} is missing: the database would let issued papers be changed.",
            hint="Run `python manage.py migrate --skip-checks`: it puts every trigger back. "
            "Then `python manage.py verify_documents` says whether anything was changed.",
            id="estimating.E001",
        )
        for alias in databases or ()
        for name in write_protection.missing_triggers(connections[alias])
    ]
