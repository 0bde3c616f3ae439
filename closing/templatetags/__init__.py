"""What other pages include of the end of jobs."""
