"""What each document shows, as plain data."""
