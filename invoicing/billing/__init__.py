"""What a job's bills and credit notes say, from its payment schedule and what was billed so far.

Knows the lines of bills (`lines`), how far a job is billed (`status`), what the next bill may ask for
(`draft`), what a credit note takes back (`credit_note`), the price of hours and receipts
(`time_and_material`), what a lien waiver may give up (`lien_waiver`), and the values that are kept behind an
issued bill (`basis`). Takes a plan and the history of lines; gives drafts, or raises with a sentence that
says why there is none.

Pure: no framework, no clock, no files. Imports `catalog.money`, `estimating.plain_text` and
`invoicing.milestones`.
"""
