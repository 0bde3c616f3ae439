"""What is done with rows of the catalog: reading, naming, copying, ordering, retiring.

Takes rows of catalog.models. `values` reads the whole catalog as the frozen values that the rules work on,
and `trial` tries an assembly on a room; the other modules change rows or find a free name. Imports the
catalog's pure packages and its models.
"""
