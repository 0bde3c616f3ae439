"""What happens on site: the days of a job, the hours and receipts it takes, what is learned from them.

Knows the catalog and the estimates; billing knows it, never the other way around.
"""
