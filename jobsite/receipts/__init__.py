"""Receipts: what was bought against what was priced, new prices that they show, and what is still to buy.

`costs`, `prices` and `shopping` are pure; `read` takes rows from the database for them.
"""
