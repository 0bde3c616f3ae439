"""Pages, one file a subject."""
