"""The site: settings, addresses, sign-in, content security policy, static files, and the WSGI application.

Settings come from the environment only (`settings`). Nothing else in the project imports this package; `urls`
joins the addresses of the apps.
"""
