#!/usr/bin/env python
"""Run Benchrule's commands: `python manage.py help` lists them."""

import os
import sys
from pathlib import Path


def main() -> None:
    """Hand the command line to Django, and end in a plain sentence where settings or database hinder it."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    if sys.argv[1:2] == ["demo"]:
        use_a_folder_of_its_own()
    import config  # noqa: F401  # before all else: it chooses the SQLite that everything gets

    try:
        from django.core.exceptions import ImproperlyConfigured
        from django.core.management import execute_from_command_line
        from django.db import DatabaseError
    except ImportError:
        sys.exit("Django is not installed in this Python. README.md says how to install it.")
    from estimating.database.start import CannotStart, in_words

    try:
        execute_from_command_line(sys.argv)
    except (ImproperlyConfigured, CannotStart) as error:
        sys.exit(f"{error}")
    except DatabaseError as error:
        if "--traceback" in sys.argv:
            raise
        sys.exit(in_words(error))


def use_a_folder_of_its_own() -> None:
    """Keep the demo apart from the firm's data, unless a folder is named for it."""
    if not os.environ.get("BENCHRULE_DATA"):
        os.environ["BENCHRULE_DATA"] = str(Path(__file__).resolve().parent / "demo_data")
        os.environ.pop("DATABASE_URL", None)


if __name__ == "__main__":
    main()
