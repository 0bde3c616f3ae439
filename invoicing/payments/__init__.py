"""Money in."""
