"""The database as a thing that can be missing, old, full, write-protected or damaged.

`start.check_start` says before serving what is wrong with it and what to do; `damage` names what can't be
read of it; `trouble` tells from an error what hinders the database; `snapshot` reads it as of one moment
without holding anybody up; `tolerant` goes on after what can't be read. `sqlite3` is the engine for SQLite.

It may import `estimating.documents` and what is below.
"""
