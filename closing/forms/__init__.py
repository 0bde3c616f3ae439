"""What is typed at the end of a job, and what would be right where it isn't."""
