"""What is sold by the stick (trim, furring, bead): pieces, the cut list, and the sticks to buy.

It knows the pieces that a room needs of a stick (`pieces`, `furring`), the sticks on sale, and how to cut
the one from the other at the least cost. `purchasing.buy_for_pieces` is the door: it takes a material and
what the work items ask of it, and gives a `CutPurchase`. It imports `catalog.measures`,
`catalog.assemblies`, and the packages of rooms, sheets and boards.

`cut_list.cut` turns lengths into whole numbers; `cutting_plan` tries purchases from the cheapest up;
`packing` cuts one, `lower_bound` proves that it can't be cut.

- Cost is least, then the count of sticks; exact and proven for what a house takes (`CutList.proven`), else
  the best that was found within a bounded number of steps, which the page says. At most 1,000 pieces.
- A package is one stick. Waste in the catalog is then not bought: the offcuts are the waste. Where pieces
  aren't known (a length typed by hand, work in no room, a fixed amount, a measure without runs, a rate
  that isn't foot for foot) that work is bought by length beside what is cut, and `not_cut` says why. A
  piece that no stick yields turns the whole material to length.
- Casing is measured as the opening is, without reveals, and mitered by the stock's width
  (`stick_width_nm`, else 2-1/4 in). Base and shoe meet coped in inside corners; round outside corners each
  grows by its thickness, crown by its width.
- Runs longer than a stick are scarfed, off the middle of the run as far as it goes; casing never is. No
  part is under 32 in where that can be. Studs aren't known.
- Strapping is rows along the longer side of a ceiling, at the distance that its rate comes to (0.75 ft
  per sq ft: 16 in).
- Sticks of options are cut by themselves, those in the sum together, over all rooms.
"""
