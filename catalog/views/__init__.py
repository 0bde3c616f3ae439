"""Pages of the catalog."""
