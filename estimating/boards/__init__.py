"""Boards and tile on the surfaces of a room.

Takes the plans of rooms and the assemblies that lay boards, and gives for each surface how many sheets or
tiles to buy, where every piece lies and is cut from, the drawing of it, and the reason in words. The
layouts themselves come from `estimating.sheet_layout`. Pure: may import the catalog's rules,
`estimating.plain_text`, `estimating.rooms` and `estimating.sheet_layout`.

`surfaces` makes surfaces of rooms; `layouts` lays boards on them for the take-off. Pages lay boards by a
first answer and ask for the best layouts afterwards (`boards-best`); documents and the `estimate` command
wait for the best. The best layouts are saved in `KeptLayout` under a key of everything that they depend
on. When a change of the engine lays the same surface otherwise, raise `layout_request.EDITION`, or old
layouts stay in use.

A floor runs into doorways as far as each opening's `recess_nm` says. Under a ceiling that slopes or steps, at
soffits and in niches, `under_ceiling` gives true shapes. A board that comes in several sizes
(`Material.sizes_of`) can be laid in another size throughout a job (`BoardSize`):
`catalog.assemblies.specs.with_boards` swaps it in the assemblies as the draft is read, and only what
counts sheets follows. Taping follows `butt_joint` and `tapered_joint`, measured as the boards lie; an
assembly that names a board and buys none, such as a level of finish, lays it for its joints alone. Tile
is laid as its assembly says (`tile_joint_nm`, `tile_offset`, `tile_pattern`, `tile_offcuts`) and bought
so, with `tile_spare` besides (`tile_to_buy`); its page tries other ways, and `start_lines` says where to
begin. Courses along the walls are laid by `tile`, other patterns by `tile_patterns`. Without a surface it
is bought by area.
"""
