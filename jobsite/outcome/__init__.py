"""What came of it: what a job made against what it was sold at, and the year against what was planned.

`job`, `year` and `drawing` are pure; `read` takes figures from the database for them. Money is before sales
tax charged to the client; what was bought counts with the tax paid at the store.
"""
