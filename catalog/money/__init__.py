"""Amounts, markups and the hourly rate, exact."""
