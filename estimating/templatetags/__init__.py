"""Filters of templates."""
