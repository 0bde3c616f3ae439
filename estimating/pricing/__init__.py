"""Pricing: from a take-off to cost, price, tax and total, to the cent.

It knows markups, allowances, trips, sales tax, the terms for changes, and hidden conditions: work that
nobody can see before opening up, priced in advance. It takes a `TakeOff` and a `Policy`; `price.price`
gives a `PricedEstimate`.

A hidden condition is priced for one unit: its price is typed, or computed from an assembly for as much as
usually shows, as the work of a change would be (`hidden_conditions.unit_price`). `least` is the quantity
that is charged at the least each time it shows, `most` the limit of the price. The conditions are in the
snapshot and the price basis of an estimate, outside every sum. A change later picks one from the basis that
was signed: its quantity is typed, its price is not, so its `ChangeLine` has no amount to tamper with
(`estimating.contract.unit_prices`). The limit counts what signed changes used and, when a change is issued,
what waits for a signature; what a later change deletes is free again. Options that weren't chosen are used
the same way until their day. `verify_documents` computes quantity, price and limit again
(`estimating.verification.unit_prices`).

Pure: it imports the standard library, `catalog.assemblies`, `catalog.measures`, `catalog.money`,
`estimating.plain_text`, `estimating.rooms` and `estimating.takeoff`; no Django.
"""
