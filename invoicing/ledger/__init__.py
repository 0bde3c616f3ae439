"""Clients' accounts and the history of a job's bills, read from the database.

It knows how an issued document or a payment becomes an entry or a bill line of the pure rules. It takes
clients or a job, and gives `Books` (entries, accounts and the rows behind them) or `BillLine`s. It imports
the pure packages `billing`, `milestones` and `receivables`, and the models; it writes nothing.
"""
