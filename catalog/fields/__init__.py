"""Fields of models and forms for the values that the trade types.

Takes text, typed or stored, and gives lengths in nanometers, prices, counts, fractions and markups: `form`
reads what is typed, `model` stores what a plain column would round. Imports catalog.measures and
catalog.money.
"""
