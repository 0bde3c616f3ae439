"""Backups: everything that the site keeps as one file, brought back and tried out.

`archive` writes and reads the file, `database_copy` takes the database out of a running site and puts it
back, `manifest` (pure) says what is in a file, `retention` (pure) which files are kept, `folder` holds them,
`drill` brings the newest one back beside the site and checks it. Knows the checks of `estimating`; no other
app knows it.

A backup is a gzipped tar, encrypted in the age format where a passphrase is given, so that tar, gzip and age
open it without this program. Its first member is `manifest.json` with the SHA-256 of every other.
"""
