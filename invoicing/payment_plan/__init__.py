"""The payment schedule of a job: read, made, changed, printed and shown.

It knows the tables of the plan and what was signed. It takes a job (and `Books` where a page has read them
already) and gives a `JobPlan`, what estimates and change orders print of it, and the rows of its pages. It
imports the pure packages, the models and `ledger`, and of `estimating` what reads drafts and signatures.

The tables (`invoicing/models/plan.py`) hold what was agreed, never what it comes to: `plan.read_plan` works
the amounts out each time by the pure rules of `invoicing/milestones/plan.py`, from the contract that
`contract.read_contract` reads: what was signed, or before that the draft. So milestones sum to the contract
before tax, to the cent. Where they can't, `JobPlan.fault` says why, and nothing can be billed or issued by
the plan. `plan.check_milestones` asks whether other milestones could take their place; forms call it under
the lock of the plan's row, which billing takes too.

- Changes (`changes`). A signed change is placed once, in the transaction of its signature, and its parts
  are stored: what was spread over the milestones open then must not move with later bills. It goes where
  its document says (the basis holds the parts under `plan`), else where the plan sends changes; where there
  is no room, it gets a milestone of its own. Work by the hour is a part of its own, at its limit.
- On documents (`snapshots`). `invoicing/billing_hooks.py` answers what `estimating` asks by the protocol
  `BillingHooks`: how an estimate is paid, which payments a change moves, what follows a signature, the next
  step of a job. `estimating` knows nothing of milestones.
- Cautions by state (`page.plan_cautions`) come from `invoicing/milestones/billing_cautions.py`, each with
  its citation and the day on which it was read. They change no number.
- The cash flow (`cash_flow_page`) takes hours and costs from the basis, phase after phase on working days;
  what a phase buys is paid on its first day, unless a planned cost pays part of it on another day. Own
  hours are no money out.
- Finished work (`finished_work`) is a mark on a line of what was signed; billing is compared with its
  worth.
"""
