"""How the owner signs in, and keeps others out: a second step, devices, ways back, and what is noted of it.

- `models`: the second step, its recovery codes, the browsers that are signed in, and the events.
- `sessions` keeps Django's sessions as rows that say whose browser they are, so that each can be ended alone.
- `second_step` makes and reads codes, each of which works once; `events` notes and mails what happened.
- `again` has the password typed again before what matters, with the waits of `access`.

The second step is a code by time (RFC 6238) from `pyotp`, drawn by `segno`. A whole package for accounts
would bring pages, addresses and templates of its own, for one person who signs in.
"""
