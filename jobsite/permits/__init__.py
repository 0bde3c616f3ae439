"""Permits with their inspections, and the records of lead-safe work.

`lead` says by when the lead pamphlet is given and how long records are kept, `lead_papers` makes the two
papers of it. Both are pure; `read` takes rows for them, and for the file of a job. Rows are `Permit`,
`OutsideEvent` of the kind inspection, and `LeadRecord` of `jobsite.models`; only forms, pages and the file of
a job import this package.
"""
