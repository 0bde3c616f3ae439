"""Supplier price lists as CSV."""
