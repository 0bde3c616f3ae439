"""What a finished piece of work requires: labor and materials worked out from the measures of rooms.

Takes frozen values of the catalog (`specs`) and measures of rooms. Gives hours and materials with their
arithmetic (`expansion`), the rates behind them (`component_rates`, `formulas` with `formula_inputs`, their
words in `rate_messages`), whole packages at the least cost (`packaging`), a room to try an assembly on
(`trial_room`), and loops of assemblies in one another (`cycles`). Pure: imports catalog.measures.

A component of an assembly takes a material, an operation or another assembly by a rate against a
measure of the room (`catalog/measures/room_measures.py`), typed as a tradesman says it or worked out by
a formula (`catalog/assemblies/formulas.py`). `catalog/assemblies/expansion.py` turns an assembly and
measures into hours and materials; the packages of `catalog/assemblies/packaging.py` are what is bought.
"""
