"""Runs of cabinets as a list of widths in plain words: "36, 30, dishwasher 24, sink 36".

Reads such a list, says it again, and sets its cabinets and appliances one after another in their run, with
the filler that is left. It knows no room. Pure: may import only `catalog.measures`.
"""
