"""Money in and out by day."""
