"""Filters and tags that templates of every app use to show numbers.

Each is one line over a rule tested elsewhere. Imports the catalog's packages up to starter.
"""
