"""The hours of a job as a range: what they come to on an even chance, and four times out of five.

- `spread` is the closed form: each piece of work is a triangular or beta (PERT) distribution of its best,
  likely and worst hours, all of them tied by one common correlation; their sum is taken as normal.
- `work` takes the best, likely and worst hours of a work item from its labor.
- `margin` says what such hours leave of a price, and which contingency keeps a margin.
- `finish` says on which day a plan ends with such hours.
- `case` reads one case from JSON for the command `range`.

Pure. Hours are floats here, as a spread has a square root in it; money stays Decimal.
"""
