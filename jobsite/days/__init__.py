"""The days of the work: when each step of each open job is done, and what follows from that.

- `planned` is the plan as values: steps with their parts on days, drying, reasons. `weeks` lays it out by
  week and day, `outside` says what must be ordered or decided by when. These are pure.
- `job_steps` makes the steps of a job from its work, `inputs` reads all that a plan is worked out from, and
  `plan` asks the rules of `estimating.schedule` and keeps the plan with the digest of its inputs.
- `page`, `today`, `done`, `supplies` make of it what pages show; `moves` changes what binds it.

It may import `estimating.changes` and `estimating.documents`; only `jobsite.telling`, forms and pages
import it.
"""
