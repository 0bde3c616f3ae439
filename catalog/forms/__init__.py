"""Forms of the catalog, one file a subject."""
