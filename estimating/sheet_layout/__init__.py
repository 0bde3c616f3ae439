"""Sheets laid on one surface: boards of drywall or backer, and tile by the same courses.

It knows surfaces, sheets and the rules by which they are laid; no room, no job and no catalog. `lay.lay`
is the door: it takes a `Surface`, a `Sheet`, `SheetRules` and an effort, and gives a `Layout`: pieces,
cuts, joints, fasteners, the sheets to buy, and a lower bound that no layout can beat.
`estimate_by_area.estimate_sheets` gives the same measures from an area alone. It imports
`catalog.measures`.

How it works: `surface` looks at the surface from either axis and any corner; `regions` holds its shape as
bands of whole nanometers; `courses` cuts it into rows; `start_positions` and `search` try where rows and
pieces may start; `packing` packs what is cut into sheets; `pieces` puts all of it in its place.

What it promises, and where it stops:

- Work is bounded by counts (`search.FIRST` and `search.BEST`), never by the clock, so that an answer is
  always the same. At most 1,000 corners and 2,000 sheets a surface; beyond, a sentence.
- A count that equals `Layout.lower_bound` is proven the least; another is the best that was found. The
  bound needs a kerf no less than the gap; else it is the boards' area over a sheet's.
- Packing goes by rules of thumb that met the proven optimum in 200 random layouts
  (`pytest -m benchmark tests/estimating/sheet_layout/test_packing.py`).
- `shared` cuts the sheets of many surfaces together, and never takes more than each by itself; a piece that
  meets its neighbor along a tapered edge keeps such an edge of its sheet, and what falls out of a notch
  serves pieces that are hung later. `lay` by itself heeds neither. With what falls out of notches, 12 jobs of
  6 random rooms took 1,188 sheets, 1,201 without, by area at least 1,085; sharing took a sixth longer. Where
  all walls are as high as two sheets are wide, no piece is small enough for it.
- Libraries tried for it in November 2026, on 20 random jobs of 3 rooms, tapered edges not heeded, sheets that
  are cut: rectpack 0.2.2 by guillotine cuts 807 in one pass as well as in the best of 24, ours 808 for a
  first answer and 805 for the best; one pass took 0.07 s a job, our first answer 0.10. CP-SAT of OR-Tools
  9.15 found none with fewer in 6 s, and none at all in 13 of the jobs. Neither knows tapered edges (which
  take 15 sheets more) nor the order of hanging. shapely 2.2 clips a course to a sheet in 23 microseconds,
  `regions` in 31, but exactly.
- A surface with slanting edges is covered by strips along its longest side, and says that it is
  approximate. A strip is as long as the surface anywhere in it, so that nothing comes out short.
- It knows no seams of the floor below.
- Fasteners are a grid on a piece's box less those that fall outside it; a leg that this leaves loose is
  warned of, not screwed.
"""
