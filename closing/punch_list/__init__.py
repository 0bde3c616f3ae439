"""The punch list of a job: one walk-through, its items, what is held for them, and the signed end.

- `items` are the rules: what an item is, what may be held for it, when the end may be signed. `certificate`
  is the paper that both sign, as plain values. Both are pure.
- `read` takes rows for them; `write` closes items and makes changes of wishes; `end` issues the certificate
  and knows the signed one.

What is held is one number, worked out each time: what the open items of the scope are worth, never more than
is still to be asked for. Nothing is stored of it, so it can't drift from the items or the bills.
"""
