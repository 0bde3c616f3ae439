"""The starting catalog that the program ships, and what the firm makes of it.

The JSON files beside this module are the catalog. `files` reads and checks them, `rows` builds rows of them,
`merge` and `load` bring those into the database beside what the firm has. Of a stored row, `shipped` says
what the firm changed, `provenance` where a number comes from, and `source_labels` which source it may name;
`restore` gives shipped values back. Imports the catalog's pure packages, catalog.models and catalog.rows.

The starting catalog is `catalog/starter/*.json`, one file a trade, units as words. `files.py` says what
an entry must and may say, `rows.py` builds rows of it and checks them, `merge.py` puts them beside what
the firm has. All files are checked before anything is written; every fault is named at once, as "file:
entry: sentence". CI loads them, so a fault stops it.

- Change a rate. Find the entry by its code, change the rate and its `source` together: publisher,
  edition, table or page; or `common practice`, `from memory`, `invented for the demo`. What the source
  gives as a figure goes into `tests/published/` as well, and the shipped rate beside it into
  `test_shipped_rates.py`. Labor takes `low`, `hours` and `high`; a material's rate or formula stands in
  the component that uses it.
- Codes stay. A row is known by its code: a new name is an update, a new code is a new row. What is
  counted in another unit wants another code.
- What the firm changed stays. Each row keeps what it was last shipped with (`shipped`,
  `catalog/starter/shipped.py`). A load brings a value up to date where the firm left it as shipped, and
  says what it left. Values that are right only together form a group (`FIELD_GROUPS`). The lists mark what is
  changed, `/catalog/changed/` shows it beside the shipped values, `restore.py` gives it back. Saved
  with figures of its own, a row or a part names the shipped source as that of the shipped figures
  (`source_labels.py`).
- Order and companions. `companions` is what usually goes with an assembly, `after` what must be done
  before it. Assemblies with the same `purpose` stand for each other there.
  `estimating/estimates/checklist.py` reads them. What protects from lead or asbestos is asked for by
  the year of the house (`cautions.LAST_YEARS`) and the surveys of its state.
- Cautions. One short sentence a hazard with its rule, in `cautions.json`; entries name them by code. Its
  `at_work` says to whoever does the work what to do. Its
  `source` says of a rule that wasn't read that it is cited `from memory`. A line that begins with "At
  work: " is shown to whoever does the work, on the work item and the shopping list, and not printed for
  the client.
- A further value. Give the model its column, `FIELD_GROUPS` its place, `files._KEYS` its key and `rows` the
  row.
"""
