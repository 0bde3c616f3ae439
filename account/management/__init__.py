"""The command `way_back`."""
