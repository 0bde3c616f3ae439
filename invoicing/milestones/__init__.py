"""The plan of payments by milestones, and what the contract and the laws of a state say about it.

Knows how milestones share the contract sum to the cent, where signed changes are billed, what the finished
work has earned, and which cautions a deposit or a bill calls for. Takes the price bases of signed documents
and terms as plain values; gives plans, amounts and sentences. `plan` is the place to begin.

Pure: no framework, no clock, no files. Imports `catalog.money`, `catalog.measures`, `estimating.contract`.
"""
