"""The catalog: what the firm buys, how fast it works, and what a finished piece of work is made of.

It stands at the bottom of the project and imports no other app. The other apps take from it the units and
measures, money, the expansion of assemblies into labor and materials, and the firm with its settings.
"""
