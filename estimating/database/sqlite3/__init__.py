"""Django's SQLite, which reads on where it can't write, and reads as of one moment without a write lock."""
