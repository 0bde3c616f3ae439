"""What his own jobs say about his rates: suggestions to the catalog, each taken or set aside by him.

- `model` is the model, with its sources: how finished jobs correct the catalog's rates.
- `evidence` spreads the hours of finished work items over their operations.
- `rates` and `suggestions` put it in words; `waste`, `trips` and `together` do the same for the waste of a
  material, the hours of supply runs and return visits, and how far hours run over together.
- `read` takes the evidence from the database, `values` reads and stores what a suggestion is about,
  `answers` takes, sets aside and puts back.

All but the last three is pure.
"""
