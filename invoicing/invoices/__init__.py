"""Bills: what can be billed of a job, and invoices and credit notes from their draft to their issue.

It knows the one way of a bill. It takes a job, the firm and the day, and gives a `BillToIssue` or an issued
document. It imports the pure packages, the models, `ledger` and `payment_plan`, and the issuing of
`estimating.documents`.

The bill being written (`BillDraft`, one to a job, in `bill_draft`) stores what the owner chose. All else is
read once (`job_billing.read_job_billing`: plan, contract, history, the client's accounts, hours and
receipts) and worked out from those values each time: what can be billed (`billable`), and the document that
would be issued (`prepare`), by the pure rules of `invoicing/billing`. `issue` writes once, at the end.
Issued, a bill is a document like any other; its lines are in its basis, and the history of the job is read
from there. `issued` says how it is paid afterwards.

- Nothing twice. Each bill takes the next position among those of its job (`Billed`: job and place are
  unique). The position follows from the very history that the bill was worked out from. As the bill is
  stored, under the lock of the events and of the job's plan, the position must still be free, and what is
  billed must be within the plan as it is then; whoever came second reads anew. A credit note takes a
  position too, and frees what it takes back.
- Sales tax is worked out on each bill for what it asks. The bill that asks for the last of what is taxed
  takes or leaves the cents by which earlier ones were rounded, so that all bills together come to just the
  tax that was signed; its document says so. Credit notes on one invoice round its tax once, and give
  retainage and deposit back with the tax that was on the lines they take back. Of a change by the hour,
  where only material is taxed, what was bought for it is, never more than was signed.
- XML inside (`einvoice_attachment`). `BillingHooks` says, by kind, which file goes inside the PDF: the CII
  document of EN 16931 under the name that readers look for. The file is PDF/A-3a by its marks and keeps its
  tags and the mark of PDF/UA-1, which the PDF library leaves out of an archive file:
  `estimating/documents/pdf_metadata.py` adds it, with the schemas that PDF/A wants described. Our tests
  check structure, attachment, marks, fonts and stable bytes; no conformance checker for PDF/A ran here. UBL
  2.1 is written from the same snapshot when it is fetched.
- What a US firm lacks. The standard knows only value added tax. Sales tax is its category S at the sales
  tax rate; the sales tax permit (`Firm.tax_permit`) is the seller's tax registration (BT-32), the license
  the legal registration (BT-30) that the rules want where there is no VAT number (BR-CO-26). Where nothing
  is taxed, all is category O, outside the tax, which needs no permit; what isn't taxed beside something
  taxed is Z, as O may not stand beside another (BR-O-11). Without license or, for tax, permit, the bill
  says what to fill in before it can be issued. Addresses are typed as lines:
  `invoicing/snapshots/postal_address.py` takes city, state and ZIP only where a line ends in them, for the
  standard asks for no more than the country. How to pay is words under the code for "not defined" (1 of
  UNTDID 4461).
- Check (`verification`). `verify_documents` compares each bill's rows, accounts, position and XML with its
  snapshot.
"""
