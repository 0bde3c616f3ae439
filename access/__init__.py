"""Who may come in, and how much of the site one visitor may take: the lowest app, which imports no other.

- `addresses` says where a request came from, and whether a proxy stands in front that nobody declared.
- `devices` knows a browser again on which somebody has signed in.
- `body_limits` says how much may be sent to an address of the site, `server` serves it within that.
"""
