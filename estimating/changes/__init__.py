"""Change orders."""
