"""Estimates: a draft read from the database, taken off and priced, checked, and shown on the job's pages.

`draft.read_draft` reads an estimate and everything it rests on, with a number of queries that doesn't grow
with its lines, and gives a `Draft` of plain values; `draft.price_draft` makes one from values that are
stored nowhere. `work_page`, `price_page`, `board_page` and `tile_page` turn a draft into the rows of a page,
`checklist` and `review` name what it lacks, and `snapshots` reads what its documents say.

It imports the pure packages (`estimating.rooms`, `boards`, `takeoff`, `pricing`, `contract`, `snapshots`),
`estimating.models` and `catalog`; it issues and signs nothing, and knows no forms, views or templates.
"""
