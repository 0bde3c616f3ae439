"""Payments: recorded, listed beside what is owed, and summed for the whole firm.

It knows how money that moved becomes a row, and what the Money pages say of it. It takes `Books` or a
client with what was typed, and gives rows of pages, figures, expected money or a recorded `Payment`. It
imports the models, `receivables`, `ledger`, `payment_plan` and `reminders`.

Payments, voided payments, refunds, and credit that was applied by hand are rows of one table
(`invoicing/models/payment.py`), protected as issued documents are: a mistake or a bounced check is a row of
its own. `record` writes them under the lock under which events are written, so that nobody issues an
invoice or records money between the check of an account and the row; the form's own key (`once`) makes a
double tap one row. No balance is stored: `invoicing/ledger/accounts.py` reads entries from bills and
payments in three queries, and `invoicing/receivables/balances.py` works out who owes what. Entries of one
day count in the order in which they came, which `Payment.place`, the number of the last event before the
row, remembers.

The figures of the firm's Money page (`summary`) are sums of their own rows, so each leads to what makes it
up. Credit goes to the next invoice by itself; to an older open one it is applied by hand, as far as it is
held and open, and that row moves no money. A refund entered wrong is taken back by entering a payment.
"""
