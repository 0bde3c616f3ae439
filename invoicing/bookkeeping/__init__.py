"""CSV files, whole job file."""
