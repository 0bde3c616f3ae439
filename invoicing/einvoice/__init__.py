"""Electronic invoices by the European standard EN 16931.

Knows the standard's model with its totals (`model`), what keeps an invoice from being valid (`faults`), and
its two syntaxes, CII inside a PDF (`cii`) and UBL (`ubl`). Takes an `EInvoice`; gives XML bytes, always the
same for the same invoice, or sentences that say what is missing.

Pure: no framework, no clock, no files. Imports `catalog.money`, `estimating.plain_text`,
`invoicing.milestones` and `invoicing.billing`.
"""
