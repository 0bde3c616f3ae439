"""The command `demo`: prepares the demo's database, says what is in it, and serves it."""
