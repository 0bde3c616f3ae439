"""Reminding a client of an invoice that is late.

It knows the steps of reminding, the words of their letters, and the letters that went out. It takes an
issued invoice, what is owed on it and the firm's rules, and gives the next step or stores the letter that
was sent. It imports the models, `receivables`, and the mail of `estimating.client`.

Reminders come one after the other, and only when the owner sends them; what went out is stored word for
word, and the invoice's history says so. A late charge is worked out from the entries day by day, less what
was charged before (`invoicing/ledger/late_charges.py`); its invoice is one of the job's bills, with a line
that stands beside the contract sum (`BillLineKind.LATE`). Dates for lien notices are what the owner entered
with a citation; we ship none.
"""
