"""The management command `keep_sums`."""
