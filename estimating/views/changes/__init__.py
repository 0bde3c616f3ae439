"""The pages of change orders: `drafts` writes and issues one, `lines` and `unit_prices` say what it changes.

May import `estimating.changes`, its forms and the views shared by all jobs.
"""
