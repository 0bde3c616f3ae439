#!/usr/bin/env python
"""Run Benchrule's commands: `python manage.py help` lists them."""

import os
import sys


def main() -> None:
    """Hand the command line to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
    try:
        from django.core.management import execute_from_command_line
    except ImportError:
        sys.exit("Django is not installed in this Python. README.md says how to install it.")
    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
