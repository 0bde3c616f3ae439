"""The progress of jobs: the stage that each is at, and its next step.

`steps` are the pure rules: they take counts, events and billing's step, and give a `JobProgress`. `read`
takes jobs and documents from the database for them. It asks billing through
`estimating.documents.billing_hooks`.

It may import `estimating.documents` and `estimating.client`; only pages import it.
"""
