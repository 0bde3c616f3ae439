"""The five lists of the catalog and how they are searched.

`catalog_list` says what each list holds and at which addresses; `search` takes what is asked for and gives
rows, each with what the firm has made of it. Imports catalog.models, catalog.phases and catalog.starter.
"""
