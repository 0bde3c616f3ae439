"""Whether a floor of joists is stiff enough for tile: deflection, bending, and the weight of what is laid.

For joists of sawn lumber on two supports under an even load, by the formulas and reference design values of
the wood design standard (NDS and its supplement), which also make the span tables of the Residential Code.
Whatever is beyond that is an engineer's. Pure: may import only `catalog.measures`.
"""
