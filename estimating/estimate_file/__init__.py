"""A job as one JSON file."""
