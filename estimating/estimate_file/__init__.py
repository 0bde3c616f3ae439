"""Estimate files: a job with its client, rooms and estimate as one JSON file.

`reading.read` takes the text of a file and gives an `EstimateFile`, or raises `UnfitFile` with every fault
and its place; `rows.EstimateFile` prices the job without storing it, or stores it; `answer.answer` gives a
priced draft as JSON. `schema` and `estimate_file.schema.json` say what a file may hold.

It imports `estimating.forms`, which read each text as the site does, `estimating.estimates`,
`estimating.models` and what they are made of; the command, the demo and the tests use it.
"""
