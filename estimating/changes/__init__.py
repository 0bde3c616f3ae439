"""Change orders: what a change adds, deletes and settles of the signed contract, priced and issued.

What was signed changes only by a change order (`ChangeOrder`). It is written on a signed job and issued like
any document, numbered within its job; edited after that, it is issued anew and supersedes the earlier one. It
counts once it is signed. The work that it adds is an estimate of its own, begun at the rates of the signed
one, so that rooms, assemblies and prices are those of any estimate. What it settles beside that are
`ChangeLine`s, which name a line of the signed contract by document and key.

- `draft` reads the contract from the frozen bases of what was signed (`signed_job`), never from drafts, and a
  change that is being written (`read_change`); `edit` saves what the forms take in.
- `price` prices a change by the terms that were signed, whatever the firm charges today, and says the rule
  beside each number; `snapshot` is what its document and the statement of the contract show.
- `issue` gives the unissued document, or every reason against it. Its basis keeps each row with the line that
  it refers to, from which `estimating.contract` reads the contract again.
- `state_rules` gives cautions by state.

A further way to change something needs a kind of `ChangeLine`, a part in `price`, its words in `snapshot`, a
form and a view. `price`, `snapshot` and `state_rules` are pure. May import `catalog` and this app's packages
up to `estimating.documents`; nothing of clients' links and signatures.
"""
