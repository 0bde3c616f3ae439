"""Hours: what is typed or clocked, what a job took against what it was priced at, and how it will end.

- `finished` says, for each finished work item, its priced hours by operation and the hours that it took: the
  evidence that rates are learned from.
- `targets` says what time can be put on, `clock` what a clock that ran makes, `day` what can't be in one day.
- `progress` says what a job took against what it was priced at, what is left, and what is over.
- `read` takes contracts, ticks of finished work and hours from the database for the rules.

All but `read` is pure.
"""
