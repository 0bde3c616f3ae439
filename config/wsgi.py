"""The WSGI application, for `manage.py serve` or any other server.

It doesn't start on a database that would let issued documents be changed.
"""

import os

from django.core.checks import Tags, run_checks
from django.core.exceptions import ImproperlyConfigured
from django.core.wsgi import get_wsgi_application
from django.db import connections

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "config.settings")

application = get_wsgi_application()
messages = run_checks(tags=[Tags.database], databases=["default"])
faults = [message for message in messages if message.is_serious()]
connections.close_all()
if faults:
    raise ImproperlyConfigured("\n".join(map(str, faults)))
