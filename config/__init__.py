"""The site: settings, addresses, sign-in, content policy, WSGI."""
