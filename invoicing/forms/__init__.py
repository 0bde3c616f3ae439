"""Forms, one file a subject."""
