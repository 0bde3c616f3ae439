"""A document on its way to the client and back: link, signature, questions, cancellation, extension.

Takes issued documents and what a client or the firm does with them; gives signatures (`Acceptance`), events
of the documents, mails, and the sums with the options that the client chose.

- `links`, `job_page.links` and `codes` limit access to the signer; `job_page` is the page of a whole job.
- `signing` signs, declines and asks, with the sums of `options` and the record of `signature_record`.
- `signed_copy` and `signed_file` are what both sides keep.
- `cancel` takes a signature back; `extension` with its `price_comparison` comes after the last day to sign.
- `uploads` and `photos` clean files that people send; `mail` writes to both sides; `status` gathers it all
  for the page of a document.

Every day that a rule compares with is the `today` that is passed in. `options`, `price_comparison` and
`signature_record` are pure. May import `catalog` and this app's packages up to `estimating.changes`.
"""
