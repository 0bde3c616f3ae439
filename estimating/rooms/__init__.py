"""Rooms as they are measured on site.

Takes a `RoomPlan` (walls one after another with their turns, openings, fixed things) and gives its outline
and misclosure, its faults, its measures, and its drawing and summary for the pages. It knows no work, no
prices and no sheets. Pure: may import only `catalog.measures`.
"""
