"""The WSGI application, for `manage.py serve` or any other server.

It doesn't start on a database that it can't read, or that would let issued documents be changed.
"""

import os
import sys

from django.core.exceptions import ImproperlyConfigured
from django.core.handlers.wsgi import WSGIHandler
from django.core.wsgi import get_wsgi_application
from django.db import connections

from estimating.database.start import CannotStart, check_start, database_in_words

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")
NOT_STARTED = 3  # by which gunicorn, too, knows not to try again


def _checked_application() -> WSGIHandler:
    try:
        application = get_wsgi_application()
        warnings = check_start()
        sys.stderr.write(f"Database: {database_in_words()}\n")
        for warning in warnings:
            sys.stderr.write(f"Caution: {warning}\n")
    except (CannotStart, ImproperlyConfigured) as error:
        sys.stderr.write(f"Benchrule doesn't start. {error}\n")
        raise SystemExit(NOT_STARTED) from error
    connections.close_all()
    return application


application = _checked_application()
