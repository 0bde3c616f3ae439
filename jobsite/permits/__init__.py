"""Permits with their inspections, and the records of lead-safe work.

`lead` says by when the lead pamphlet is given and how long records are kept, `lead_papers` makes the two
papers of it. Both are pure. Rows are `Permit`, `OutsideEvent` of the kind inspection, and `LeadRecord` of
`jobsite.models`; only forms and pages import this package.
"""
