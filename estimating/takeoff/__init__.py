"""Take-off: from the work chosen for a job to quantities, and from quantities to purchases.

It knows how an assembly is applied to rooms, how materials are pooled over a job and bought in whole
packages, and which cautions the work carries. It takes `RoomPlan`s, `Work` items and the firm's
`Conventions`; `takeoff.take_off` gives a `TakeOff`: the quantities of each item, the materials to buy, and
each item's part of their cost.

Pure: it imports the standard library, `catalog.assemblies`, `catalog.measures`, `catalog.money`,
`estimating.plain_text`, `estimating.rooms`, `estimating.sheet_layout`, `estimating.boards` and
`estimating.linear_stock`; no Django, and nothing of prices charged to the client.
"""
