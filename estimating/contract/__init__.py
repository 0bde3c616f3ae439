"""What was signed: the contract sum, the lines it is made of, unit prices, and the right to cancel.

It knows how a contract is read from the frozen bases of its signed documents. It takes `SignedDocument`s
and `SignedBasis`es and gives the `Contract` with its steps, the `ContractLine`s and `ContractAllowance`s
that a change can settle, the `UnitPrice`s that it can use, and the notice of cancellation of 16 CFR 429.

Pure: it imports the standard library, `holidays`, `catalog.money`, `estimating.plain_text`,
`estimating.takeoff` and `estimating.pricing`; no Django.

- What counts is `Acceptance.objects.binding(job)`; the contract sum is the sum over it. Ask that, never
  `Acceptance` alone: rows are kept for good, and those of canceled documents are among them.
- The right to cancel. `Job.signing_place` says where the estimate is signed. Where 16 CFR part 429
  gives the right, the snapshot holds the notice (`cancellation_rule.estimate_notice`), the document prints it
  twice, and the record and the event of the signing keep the last day (`cancellation_rule.cancel_by`;
  holidays from the package `holidays`, which is asked for federal ones only). Where the rule can be
  read in two ways, the later day is taken: one too late is never wrong. Amended words of the rule go
  into `cancellation_rule.py`; documents issued before keep theirs.
  A change order that adds something is a sale of its own, with a notice and days of its own; what was
  signed before counts to its price, as the rule says "under single or multiple contracts"
  (`cancellation_rule.change_notice`).
"""
