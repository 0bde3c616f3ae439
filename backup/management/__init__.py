"""The commands `backup`, `restore` and `backup_drill`."""
