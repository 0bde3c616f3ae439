"""Expansion, formulas, packages."""
