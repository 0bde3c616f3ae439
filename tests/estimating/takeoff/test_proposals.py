"""Amounts that a room or other work already tells."""

from dataclasses import replace
from fractions import Fraction

from catalog.assemblies.specs import AssemblySpec
from catalog.measures.lengths import NM_PER_INCH as IN
from catalog.measures.lengths import parse_length
from estimating.cabinets.units import parse_units
from estimating.rooms.plan import ElectricalPlace, Footprint, RoomPlan
from estimating.takeoff.proposals import proposals
from estimating.takeoff.takeoff import take_off
from estimating.takeoff.work import Override, RoomUse, Work
from tests.estimating.plain_kitchen import kitchen_room


def assembly(code: str, measure: str = "each") -> AssemblySpec:
    return AssemblySpec(code, code, "take_out", measure)


def work(code: str, measure: str = "each", amount: int | None = None) -> Work:
    overrides = () if amount is None else (Override(measure, Fraction(amount), ""),)
    return Work(
        key=code,
        title=code,
        phase="take_out",
        assembly=assembly(code, measure),
        rooms=(RoomUse("kitchen"),),
        overrides=overrides,
    )


def proposed(*works: Work, room: RoomPlan | None = None) -> dict[str, Fraction]:
    rooms = {"kitchen": room or kitchen_room()}
    found = proposals(works, rooms, take_off(rooms, works))
    assert all(proposal.why for proposal in found)
    return {proposal.work: proposal.amount for proposal in found}


def with_cabinets(*runs: tuple[str, str]) -> RoomPlan:
    footprints = [
        Footprint("run", "cabinets", 0, None, parse_length(length), parse_length(depth))
        for length, depth in runs
    ]
    return replace(kitchen_room(), footprints=tuple(footprints))


def test_dust_barriers_are_the_doors_and_openings_of_the_room() -> None:
    room = kitchen_room()
    doors = sum(opening.kind in ("door", "cased") for opening in room.openings)
    assert doors
    assert proposed(work("dust-barrier")) == {"dust-barrier": doors}


def test_trim_to_take_out_is_the_base_and_the_trim_of_openings() -> None:
    room = kitchen_room()
    measures = take_off({"kitchen": room}, [work("take-out-trim", "length")]).room_measures["kitchen"]
    length = measures.values["base"] + measures.values["opening_trim"]
    amount = proposed(work("take-out-trim", "length"))["take-out-trim"]
    assert 0 <= amount - length < 1


def test_cabinets_go_by_the_runs_on_the_plan_and_pulls_by_the_cabinets() -> None:
    room = with_cabinets(("10'", '24"'), ("6'", '12"'))
    amounts = proposed(work("cabinet-pulls"), work("set-base-cabinets"), work("set-wall-cabinets"), room=room)
    assert amounts == {"set-base-cabinets": 4, "set-wall-cabinets": 3, "cabinet-pulls": 14}


def test_dumpsters_go_by_what_is_taken_out() -> None:
    # 40 cabinets of 9 cu ft are 360 cu ft
    assert proposed(work("take-out-cabinets", amount=40), work("haul-away"))["haul-away"] == 2


def test_lights_to_swap_are_those_placed_on_the_ceiling() -> None:
    places = [ElectricalPlace(kind, 0, 0, 10**9) for kind in ("light", "outlet", "light")]
    room = replace(kitchen_room(), electrical=tuple(places))
    assert proposed(work("swap-ceiling-light"), room=room) == {"swap-ceiling-light": 2}


def test_what_was_typed_or_what_nothing_tells_is_not_proposed() -> None:
    assert proposed(work("dust-barrier", amount=1), work("cabinet-pulls"), work("haul-away")) == {}


def test_listed_cabinets_are_proposed_as_the_plan_has_them() -> None:
    """By hand: toe kick 36 + 36 + 2 in and one filler 34-1/2 in high are 9.04 ft, bought as 10."""
    base, uppers = parse_units("36, dishwasher 24, sink 36"), parse_units("36, microwave 30, 30")
    runs = (
        Footprint("Base", "cabinets", 0, None, 98 * IN, 24 * IN, units=base),
        Footprint("Uppers", "hung", 0, None, 96 * IN, 12 * IN, units=uppers),
    )
    room = replace(with_cabinets(), footprints=runs)
    codes = ["install-cabinets", "set-wall-cabinets", "cabinet-fillers", "cabinet-pulls", "counter-by-others"]
    codes += ["counter-laminate", "sink-cutout-laminate", "dishwashers-set", "microwaves-over-range"]
    codes += ["ranges-set"]  # there is none
    assert proposed(*map(work, codes), room=room) == {
        "install-cabinets": 4,
        "set-wall-cabinets": 2,
        "cabinet-fillers": 10,
        "cabinet-pulls": 3 + 2 + 2 + 2,
        "counter-by-others": Fraction(70, 4),
        "counter-laminate": 9,
        "sink-cutout-laminate": 1,
        "dishwashers-set": 1,
        "microwaves-over-range": 1,
    }
