"""The command of the catalog: `manage.py starter_catalog` loads the starting catalog or updates it."""
