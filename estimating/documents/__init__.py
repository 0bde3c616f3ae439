"""Documents: how one is issued, drawn as PDF, kept from being changed, and listed.

It knows what happens between a draft and an issued document: `estimate.prepare_estimate` takes an estimate
with its priced draft and gives an `UnissuedDocument`; `issue.issue` takes that and gives a stored
`Document` with its number, PDF and event. `pdf.make_pdf` turns any snapshot into a PDF, `billing_hooks`
asks the app above, `write_protection` installs the triggers, and `history` lists what was issued.

It may import the packages before it in tests/test_imports.py, down to `estimating.estimates`; nothing of
changes, the client's page, forms or views, and nothing of the app above.

- What is kept. The snapshot (all that the document shows), the basis (what its sums are made of, for the
  firm alone) and the PDF, each with its SHA-256. A correction is a further document. What happens to a
  document is an event; events are one hash chain for the firm (`estimating/events/chain.py`), written only
  by `Document.record` inside a transaction.
- Order of work. The PDF is drawn outside any transaction with the number that would be next; a short
  transaction then locks the series' `Counter`, takes the number and saves. Where somebody else took it
  meanwhile, it is drawn again. So there are no gaps, and a kill at any step leaves nothing or all.
- What stands in the way. What must not be issued is named by `estimate.reasons_against_issuing`; what may
  cost money is said at the question before issuing, and stops nothing (`estimating/estimates/review.py`).
- Write protection. Triggers on the tables of `write_protection.PROTECTED` refuse UPDATE, DELETE, REPLACE
  and TRUNCATE, on both databases. Django rebuilds a SQLite table to alter it and thereby loses its
  triggers: they are installed again after every `migrate`. `manage.py check --database default` names a
  trigger that is missing, and the WSGI application doesn't start without one (`migrate --skip-checks`
  puts it back). A data migration that must rewrite issued rows does so inside
  `write_protection.without_triggers(connection)`, which drops the triggers and installs them again in one
  transaction; beside migrations only the tests use it, to clear the tables (`tests/conftest.py`). No
  page does.
- Proof. `manage.py verify_documents` computes every digest, number, sum and link again, names what
  differs and exits with 1. Run it after every restore and on a schedule. A chain can be rebuilt by
  whoever can write everything: copies of its last hash outside show that.
- The date. Before anything is numbered or money entered, `clock` compares the machine's date with the newest
  event and the last sign-in; where it doesn't fit, somebody must say that it is right.
- A further kind. Give `Document.Kind` its value, write `templates/documents/<kind>.html` and
  `_<kind>.html`, and add the first to `TEMPLATES` of `estimating.documents.pdf`. Build an
  `UnissuedDocument` and call `issue(unissued, at, then=...)`; `then` runs in the same transaction. Add its
  sum to `estimating/verification/documents.py`, and further tables to `PROTECTED`.
"""
