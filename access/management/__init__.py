"""The command that serves the site."""
