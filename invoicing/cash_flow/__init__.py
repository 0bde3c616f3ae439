"""The cash of a job by day, before any of it happens: money in by milestone, money out by phase of the work.

Knows when work is done and paid for (`forecast`), on which days the firm's own money is in the job
(`balance`), and how that is drawn (`drawing`). Takes a plan and the work of the contract; gives movements of
cash, sums, and an SVG.

Pure: no framework, no clock, no files. Imports `catalog.money`, `estimating.plain_text`,
`estimating.pricing`, `invoicing.milestones`.
"""
