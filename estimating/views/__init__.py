"""One file a subject, plus lookups.py."""
