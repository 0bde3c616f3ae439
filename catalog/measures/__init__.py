"""Lengths, units, rates and the measures of a room: the quantities that everything else counts in.

Takes typed text and gives exact numbers: lengths in whole nanometers (`lengths`), quantities as a `Fraction`
with a unit (`units`), rates such as "350 sq ft per gallon" (`rates`), and the named quantities of a room that
work scales with (`room_measures`). Pure: imports the standard library and Pint, and nothing of this project.
"""
