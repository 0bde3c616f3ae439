"""Hours: what is typed or clocked, what a job took against what it was priced at, and how it will end.

- `finished` says, for each finished work item, its priced hours by operation and the hours that it took: the
  evidence that rates are learned from.
- `read` takes contracts, ticks of finished work and hours from the database for the rules.

All but `read` is pure.
"""
