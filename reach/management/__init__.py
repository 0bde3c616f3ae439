"""The command `check_site`."""
