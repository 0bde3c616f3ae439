"""Is what was issued still what it was."""
