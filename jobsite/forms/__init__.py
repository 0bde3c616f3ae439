"""What is typed for the days, hours and receipts of jobs, and what would be right where it isn't."""
