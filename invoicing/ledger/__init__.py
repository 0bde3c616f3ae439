"""Entries read from bills and payments."""
