"""Snapshots of invoices, credit notes, receipts and statements: what a document prints, as plain values.

Knows every figure and sentence of a bill (`invoice`) and of a statement, and the e-invoice that says the
same (`einvoice`). Takes drafts, entries and a header; gives dictionaries that JSON can keep, whose keys are
frozen with every issued document.

Pure: no framework, no clock, no files. Imports `catalog`, `estimating.plain_text`, `estimating.snapshots`
and the pure packages of `invoicing`.
"""
