"""Rooms as they are measured on site.

Takes a `RoomPlan` (walls one after another with their turns, openings, fixed things, what is overhead) and
gives its outline and misclosure, its faults, its measures, and its drawing and summary for the pages.
`ceiling` cuts the plan along everything overhead that isn't level, and gives walls, faces, edges and corners
from there. It knows no work, no prices and no sheets. Pure: may import only `catalog.measures`.
"""
