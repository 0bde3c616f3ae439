"""The payment schedule by milestones, and what the contract and the laws of a state say about it.

Knows how milestones share the contract sum to the cent (`plan`, where to begin), where signed changes are
billed (`change_placement`), what was signed (`contract_amounts`), what the finished work has earned
(`earned_value`), and which cautions a deposit or a bill calls for (`deposit_rules`, `billing_cautions`).
Takes the price bases of signed documents and terms as plain values; gives plans, amounts and sentences, or
raises `PlanFault` with a sentence that says what would be right.

Pure: no framework, no clock, no files. Imports `catalog.money`, `catalog.measures`, `estimating.contract`.
"""
