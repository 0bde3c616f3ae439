"""The shipped catalog, beside its JSON files."""
