"""The page on backups."""
