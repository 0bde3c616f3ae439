"""The plan of a job, its page, its rows on documents."""
