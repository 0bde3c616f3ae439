"""Who may come in, and how much of the site one visitor may take: the lowest app, which imports no other.

- `addresses` says where a request came from, `devices` whether somebody has signed in on that browser before.
- `attempts` lets who guesses passwords wait, as long as `waits` says (pure).
- `body_limits` says how much may be sent to an address of the site, `server` serves it within that.
"""
