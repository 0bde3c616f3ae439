"""The boards of one job cut together: counts, where offcuts come from, and what is said of it."""

import json
import random
from dataclasses import replace
from typing import Any

from catalog.measures.lengths import format_length
from estimating.boards.description import (
    cut_sheets,
    layout_found,
    layout_in_words,
    piece_rows,
    reason_in_words,
)
from estimating.boards.layout_request import LayoutChoice, SurfaceRef
from estimating.boards.layouts import BoardLayout, Boards
from estimating.boards.shared_sheets import shares_from_json, shares_to_json
from estimating.rooms.plan import Framing, Opening, RoomPlan, l_shape
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import RoomUse, Work
from tests.estimating.boards.test_layouts import BACKER, CEILING, FLOOR, IN, WALLS
from tests.estimating.sheet_layout.validate import hosts_on_sheets, validate_shared
from tests.specs import assembly, room, uses

SAWN_WALLS = assembly(
    "set backer", "wall_net", uses(BACKER, scales_with="sheets"),
    uses(BACKER, scales_with="joint_volume"), board=BACKER,
)  # fmt: skip
ROOMS = {"a": room("12'", "10'"), "b": replace(room("11'", "9'"), name="Bath")}


def shared(boards: Boards, rooms: dict[str, RoomPlan] = ROOMS) -> list[BoardLayout]:
    uses = tuple((key, None) for key in rooms)
    laid = [layout for spec in (WALLS, CEILING) for layout in boards.lay(spec, rooms, uses).layouts]
    return boards.share(laid)


def test_offcuts_are_used_after_their_sheet_is_begun_ceilings_first_then_walls() -> None:
    layouts = shared(Boards())
    hung = sorted(layouts, key=lambda layout: layout.at)
    assert [layout.request.name for layout in hung[:3]] == ["Room, ceiling", "Bath, ceiling", "Room, wall A"]
    begun: set[int] = set()
    for layout in hung:
        for piece in layout.layout().pieces:
            assert piece.from_offcut == (piece.sheet in begun)
            begun.add(piece.sheet)
    assert begun == set(range(1, sum(layout.sheets for layout in layouts) + 1))


def test_together_they_take_fewer_than_each_alone_and_say_so() -> None:
    layouts = shared(Boards())
    together, each = (
        sum(layout.sheets for layout in layouts),
        sum(layout.figures.sheets for layout in layouts),
    )
    # 12 x 10 and 11 x 9 ft, 8 ft high: 219 sq ft of ceilings and 672 of walls, over 32 is 27.8
    assert 28 <= together < each
    words = " ".join(reason_in_words(layouts))
    assert f"10 surfaces of this job are cut from {together} sheets together" in words
    assert f"together; each by itself would take {each} in all." in words
    assert ("No layout takes fewer." in words) == (together == 28)
    assert "too small to serve again" not in words or together > 28


def test_the_tables_say_on_which_surface_a_sheet_was_begun_and_what_it_gives_to_others() -> None:
    layouts = shared(Boards())
    came = came_from(layouts)
    gave = [
        sheet.pieces.count("piece ")
        for layout in layouts
        for sheet in cut_sheets(layout.layout(), shared=layout.shared, at=layout.at)
    ]
    assert len(came) == sum(gave) > 0
    assert any("begun on Room, " in words for words in came)
    in_one_room = came_from(shared(Boards(), {"a": ROOMS["a"]}))
    assert in_one_room
    assert not any("Room" in words for words in in_one_room)


def came_from(layouts: list[BoardLayout]) -> list[str]:
    return [
        row.comes_from
        for layout in layouts
        for row in piece_rows(layout.layout(), shared=layout.shared, at=layout.at)
        if ", begun on " in row.comes_from
    ]


def test_what_is_saved_comes_back_the_same_and_is_not_looked_for_again() -> None:
    first = shared(Boards())
    found = first[0].shared
    assert found
    again = shares_from_json(json.loads(json.dumps(shares_to_json(found.shares))))
    assert again == found.shares
    known = replace(again, alone=99)
    other = shared(Boards(known_shares={found.key: known}))[0].shared
    assert other
    assert other.shares.alone == 99


def test_an_option_and_what_the_client_brings_are_not_cut_together_with_the_rest() -> None:
    walls = Work("w", "Walls", "board", assembly=WALLS, rooms=(RoomUse("a"), RoomUse("b")))
    ceiling = replace(walls, key="c", title="Ceilings", assembly=CEILING)

    def groups(*works: Work) -> int:
        items = take_off(ROOMS, works, boards=Boards(effort="first")).items
        return len({id(layout.shared) for item in items for layout in item.board_layouts})

    assert groups(walls, ceiling) == 1
    assert groups(walls, replace(ceiling, is_option=True)) == 2
    assert groups(walls, replace(ceiling, client_supplies=frozenset({"drywall"}))) == 2


def test_the_sheets_bought_are_those_of_the_whole_job() -> None:
    walls = Work("w", "Walls", "board", assembly=WALLS, rooms=(RoomUse("a"), RoomUse("b")))
    ceiling = replace(walls, key="c", title="Ceilings", assembly=CEILING)
    taken = take_off(ROOMS, [walls, ceiling], boards=Boards(effort="first"))
    (line,) = taken.materials
    (first, *_) = taken.items[0].board_layouts
    assert first.shared
    assert line.required == first.shared.sheets < first.shared.shares.alone


def test_what_the_scope_says_of_a_layout_is_read_off_its_pieces_and_joints() -> None:
    (layout,) = Boards(effort="first").lay(FLOOR, {"a": room("13' 4\"", "10' 8\"")}, (("a", None),)).layouts
    drawn = layout.layout()
    least = min(min(piece.width_nm, piece.height_nm) for piece in drawn.pieces)
    across = [joint for joint in drawn.joints if joint.across]
    upright = drawn.given.courses_along == "y"
    places = [
        (joint.y_nm, joint.x_nm, joint.width_nm) if upright else (joint.x_nm, joint.y_nm, joint.height_nm)
        for joint in across
    ]
    apart = min(
        abs(one - other)
        for one, low, wide in places
        for other, above, _ in places
        if low + wide + IN // 8 == above
    )
    assert layout_found([layout]) == (
        f"Laid out with no piece under {format_length(least)} and end joints of neighboring rows at least"
        f" {format_length(apart)} apart."
    )
    assert layout_found([]) == ""


def test_the_scope_says_that_butt_joints_are_on_studs_only_where_all_of_them_are() -> None:
    plan = room("13' 4\"", "10' 8\"", studs=Framing(16 * IN, 9 * IN))
    layouts = Boards(effort="first").lay(WALLS, {"a": plan}, (("a", None),)).layouts
    assert "butt joints on studs" in layout_found(layouts)
    bare = replace(plan, studs=None)
    assert "stud" not in layout_found(Boards(effort="first").lay(WALLS, {"a": bare}, (("a", None),)).layouts)
    # a first piece of 5 ft from the left ends between two of them
    chosen = {SurfaceRef("a", "wall-A", "drywall"): LayoutChoice(first_piece_nm=60 * IN)}
    boards = Boards(choices=chosen, effort="first")
    layouts = boards.lay(WALLS, {"a": plan}, (("a", None),)).layouts
    assert layouts[0].layout().off_framing
    assert "stud" not in layout_found(layouts)


def test_ceiling_boards_end_on_joists() -> None:
    plan = room("16' 4\"", "10' 8\"", ceiling_joists=Framing(24 * IN, 13 * IN))
    (ceiling,) = Boards(effort="first").lay(CEILING, {"a": plan}, (("a", None),)).layouts
    assert "butt joints on joists" in layout_found([ceiling])
    assert 'Joists 24" apart are dashed, the first 13" from the left.' in layout_in_words(
        ceiling.layout(), "Ceiling"
    )
    # along wall A, which the plan draws above: 128 in less 13 is 4 spaces and 19 in from the bottom
    plan = replace(plan, ceiling_joists=Framing(24 * IN, 13 * IN, along_a=True))
    (ceiling,) = Boards(effort="first").lay(CEILING, {"a": plan}, (("a", None),)).layouts
    assert ceiling.result.given.courses_along == "y"
    assert "butt joints on joists" in layout_found([ceiling])
    assert 'Joists 24" apart are dashed, the first 19" from the bottom.' in layout_in_words(
        ceiling.layout(), "Ceiling"
    )


def random_room(seed: int) -> RoomPlan:
    """Make a room of 6 to 19 ft, some of them L-shaped, with doors and windows."""
    draw = random.Random(seed)
    long, wide = draw.randint(70, 230), draw.randint(60, 190)
    plan = replace(room(f'{long}"', f'{wide}"'), height_nm=draw.choice((96, 97, 108, 120)) * IN)
    if seed % 3 == 0:
        cut = draw.randint(20, long - 30) * IN, draw.randint(20, wide - 30) * IN
        plan = replace(plan, legs=l_shape(long * IN, wide * IN, *cut))
    openings = []
    for wall, leg in enumerate(plan.legs):
        width, high = draw.randint(24, 72), draw.randint(24, 54)
        if draw.random() < 0.6 and width + 8 <= leg.length_nm // IN:
            begin = draw.randint(3, leg.length_nm // IN - width - 3) * IN
            door = draw.random() < 0.5
            size = (32 * IN, 80 * IN, 0) if door else (width * IN, high * IN, (80 - high) * IN)
            kind = "door" if door else "window"
            openings.append(Opening(kind.title(), kind, wall, *size, begin))
    return replace(plan, openings=tuple(openings))


def test_no_piece_of_any_sheet_overlaps_another_and_what_fell_out_of_one_is_hung_after_it() -> None:
    fallen = 0
    for seed in range(24):
        rooms = {"a": random_room(seed), "b": random_room(seed + 100)}
        for specs in ((WALLS, CEILING), (SAWN_WALLS,)):
            boards, uses = Boards(effort="first"), (("a", None), ("b", None))
            laid = [layout for spec in specs for layout in boards.lay(spec, rooms, uses).layouts]
            hung = sorted(boards.share(laid), key=lambda layout: layout.at)
            drawn = [layout.layout() for layout in hung]
            assert validate_shared(drawn) == ()
            found = hosts_on_sheets(drawn)
            fallen += len(found)
            for layout in hung:
                assert layout.shared
                said = layout.shared.fell_out_of(layout.at)
                assert {(layout.at, number): host[1] for number, host in said.items()} == {
                    piece: host[1] for piece, host in found.items() if piece[0] == layout.at
                }
    assert fallen > 50


def test_the_check_sees_what_is_wrong_with_shared_sheets() -> None:
    layouts = shared(Boards(effort="first"), {"a": random_room(2), "b": random_room(102)})
    drawn = [layout.layout() for layout in sorted(layouts, key=lambda layout: layout.at)]
    assert validate_shared(drawn) == ()
    (at, number), _ = next(iter(hosts_on_sheets(drawn).items()))
    piece = drawn[at].pieces[number - 1]

    def spoilt(**change: Any) -> str:
        pieces = list(drawn[at].pieces)
        pieces[number - 1] = replace(piece, **change)
        changed = [*drawn[:at], replace(drawn[at], pieces=tuple(pieces)), *drawn[at + 1 :]]
        return " ".join(validate_shared(changed))

    assert "overlap" in spoilt(sheet_x_nm=piece.sheet_x_nm + piece.width_nm // 2)
    assert "beyond its sheet" in spoilt(sheet_y_nm=47 * IN)
    assert "begins its sheet" in spoilt(from_offcut=False)
    assert "one by one" in spoilt(sheet=999)
    assert "which is hung later" in " ".join(validate_shared(drawn[::-1]))


def test_the_tables_say_out_of_which_piece_a_cutout_comes() -> None:
    layouts = shared(Boards(), {"a": random_room(2), "b": replace(random_room(102), name="Bath")})
    hung = sorted(layouts, key=lambda layout: layout.at)
    drawn = [layout.layout() for layout in hung]
    found = hosts_on_sheets(drawn)
    here, elsewhere = set(), set()
    for at, layout in enumerate(hung):
        rows = piece_rows(drawn[at], shared=layout.shared, at=at)
        for row, piece in zip(rows, drawn[at].pieces, strict=True):
            other, host = found.get((at, row.number), (at, 0))
            assert row.comes_from.startswith(f"cut-out of piece {host}") == (host > 0)
            if host and other == at:
                here.add(row.comes_from)
                assert row.comes_from == f"cut-out of piece {host}, sheet {piece.sheet}"
            elif host:
                elsewhere.add(row.comes_from)
                named = {hung[other].request.name, hung[other].request.room_surface.name.lower()}
                surface = row.comes_from.removeprefix(f"cut-out of piece {host} of ").rsplit(",", 1)[0]
                assert surface.lower() in {name.lower() for name in named}
    assert here
    assert elsewhere
    cuts = [
        cut
        for at, layout in enumerate(hung)
        for sheet in cut_sheets(drawn[at], shared=layout.shared, at=at)
        for cut in sheet.cuts
    ]
    assert any(cut.startswith("in the cut-out, across at ") for cut in cuts)
