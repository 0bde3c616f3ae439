"""What clients owe, from the entries of their accounts alone.

Knows how payments and credit are matched to invoices (`balances`), what is overdue (`aging`), late charges,
reminders and notices, and what the bookkeeper gets: statement, journal, sales tax, costs of material. Takes
entries as plain values; gives sums, dates and rows.

Pure: no framework, no clock (today is an argument), no files. Imports `catalog.money`,
`estimating.plain_text`, `invoicing.milestones` and `invoicing.billing`.
"""
