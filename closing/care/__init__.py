"""The care sheet of a job: what was installed, when, and how its client cares for it.

`sheet` is the paper as plain values, pure; `read` takes what was signed, what was filled in and the makers'
papers from the database for it. A material stands on the sheet once it has words of care in the catalog, or
something filled in for the job.
"""
