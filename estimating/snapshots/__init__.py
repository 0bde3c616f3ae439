"""Snapshots: everything that a document shows, as plain data that JSON can keep.

A document is printed from its snapshot alone, and its snapshot is stored when it is issued. The modules
take a draft that was taken off and priced (`priced_draft.PricedDraft`) and the words beside the prices
(`wording.Wording`); they give dicts: `estimate.estimate_snapshot`, `shopping_list.shopping_snapshot`,
`cut_sheet.cut_sheet_snapshot`, and `price_basis.estimate_basis`, which is stored with an estimate and never
printed. `differences.compare` says what changed between two estimates. The keys of these dicts never
change, as stored documents have them.

Pure: it imports the standard library, `catalog.assemblies`, `catalog.measures`, `catalog.money`,
`estimating.plain_text`, `estimating.rooms`, `estimating.sheet_layout`, `estimating.boards`,
`estimating.takeoff`, `estimating.pricing` and `estimating.contract`; no Django.
"""
