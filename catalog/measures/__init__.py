"""Units, lengths and the measures of a room."""
