"""The site: settings, addresses, sign-in, content security policy, static files, and the WSGI application.

Settings come from the environment only (`settings`). Nothing else in the project imports this package; `urls`
joins the addresses of the apps. Whatever runs the site imports it first, and so gets the newest SQLite.
"""

from config.newer_sqlite import use_newer_sqlite

use_newer_sqlite()
