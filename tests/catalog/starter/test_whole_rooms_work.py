"""What a kitchen or bath still needed: each piece of work on an amount, its quantities worked out by hand."""

from fractions import Fraction

import pytest

from catalog.rows.values import CatalogReader
from tests.catalog.starter.small_catalog import entries
from tests.catalog.starter.test_contents import takes

pytestmark = [pytest.mark.django_db, pytest.mark.one_database]

# The assembly, its amounts, and what they take: materials in their units and hours, worked out by hand.
WORKED = [
    # A shower of 3 x 3 ft: 9 sq ft x 25 lb and 5 % = 236.25 lb, liner 4-1/2 x 4-1/2 ft = 20.25 sq ft.
    # Slope 9 x 22/100 + 1, liner 9 x 18/100 + 1, float 9 x 30/100 + 1.
    (
        "shower-pan-mud",
        "area 9, rooms 1",
        "deck-mud 236.25, pan-liner 20.25, metal-lath 9.9, shower-drain 1, pan-test-plug 1, slope-pan 2.98,"
        " hang-pan-liner 2.62, float-pan 3.7",
    ),
    (
        "shower-pan-tray",
        "each 1",
        "shower-tray 1, thinset-modified 12, waterproof-fabric 14, set-shower-tray 2.5",
    ),
    # 3 ft of curb: three 2 x 4 and 10 %; 3 x 20/100 + 0.5 h
    (
        "shower-curb",
        "length 3",
        "lumber-2x4 9.9, framing-nails 18, metal-lath 3.75, deck-mud 42, waterproof-fabric 6, build-curb 1.1",
    ),
    (
        "shower-niche",
        "each 2",
        "niche-box 2, lumber-2x4 8, backer-screws-158 24, thinset-modified 6, build-niche 5",
    ),
    (
        "shower-bench",
        "each 1",
        "lumber-2x4 24, backer-half-3x5 1, framing-nails 40, backer-screws-158 60, build-bench 5",
    ),
    ("shower-glass-by-others", "each 1", "shower-glass 1, meet-glass-maker 2"),
    ("set-new-tub", "each 1", "tub 1, deck-mud 60, lumber-2x4 10, structural-screws 8, set-tub 5"),
    # 40 sq ft of mosaic: 44 sq ft with 10 %, 40 x 50/95 lb of thinset, 40 x 17/100 + 0.5 h
    (
        "tile-floor-mosaic",
        "floor 40, rooms 1",
        "tile-mosaic 44, thinset-modified 400/19, diamond-blade 4/15, wet-saw 2/3, lay-out-tile 2,"
        " set-mosaic 7.3",
    ),
    (
        "tile-shower-floor",
        "area 9, rooms 1",
        "tile-mosaic 9.9, thinset-modified 90/19, diamond-blade 0.06, wet-saw 0.15, lay-out-tile 2,"
        " set-mosaic 2.03",
    ),
    ("electrician-rough-in", "each 1", "electrician-visit 1, see-to-trade 1.25"),
    ("receptacles-new", "each 4", "receptacle-new 4, mark-box 0.8"),
    ("circuits-new", "each 2", "circuit-new 2, mark-box 0.4"),
    ("circuits-protected", "each 2", "breaker-protected 2, mark-box 0.4"),
    ("lights-new", "each 6", "light-new 6, mark-box 1.2"),
    ("alarms-wired", "each 5", "alarm-wired 5, mark-box 1"),
    ("alarms-battery", "each 5", "alarm-battery 5, wall-anchors 10, mount-alarm 1.75"),
    # 12 ft of bars: 12 x 10/100 + 0.5 h
    ("under-cabinet-lights", "length 12", "under-cabinet-light 12, mount-light-bar 1.7"),
    ("vanity-lights", "each 1", "vanity-light 1, wire-connectors 3, swap-fixture 1.05"),
    # duct of 10 ft and 10 %; 10 x 14/100 + 0.5 h of it
    (
        "bath-fans",
        "each 1",
        "bath-fan 1, duct-4 11, wall-cap 1, foil-tape 8, silicone 0.3, set-bath-fan 2.5, run-duct 1.9,"
        " set-wall-cap 1.25",
    ),
    (
        "range-hoods",
        "each 1",
        "range-hood 1, duct-6 8.8, wall-cap 1, foil-tape 8, silicone 0.3, hang-hood 1.75, run-duct 1.62,"
        " set-wall-cap 1.25",
    ),
    ("microwaves-over-range", "each 1", "structural-screws 4, wall-anchors 4, hang-microwave 1.75"),
    ("dishwashers-set", "each 1", "dishwasher-kit 1, set-dishwasher 1.5"),
    ("ranges-set", "each 1", "structural-screws 2, set-range 0.75"),
    ("refrigerators-set", "each 1", "water-line-kit 1, set-refrigerator 1"),
    ("disposals-set", "each 1", "disposal 1, plumbers-putty 0.2, set-disposal 1.25"),
    ("stops-and-supplies", "each 3", "stop-valve 3, supply-faucet 3, thread-tape 0.6, change-stop 1.8"),
    ("structural-opinion", "each 1", "engineer-visit 1, see-to-trade 1.25"),
    # 12 ft of wall, 8 ft high: 12 x 9 ft and 10 %; 12 x 22/100 + 1 h
    (
        "frame-partition",
        "length 12",
        "lumber-2x4 118.8, framing-nails 84, structural-screws 6, frame-wall 3.64",
    ),
    ("close-openings", "each 1", "lumber-2x4 36, framing-nails 30, close-opening 2"),
    (
        "open-wall-header",
        "each 1",
        "lumber-2x10 14, lumber-2x4 96, framing-nails 120, structural-screws 16, set-header 7",
    ),
    ("hang-joists", "each 8", "joist-hangers 8, framing-nails 80, hang-joist 3.2"),
    ("take-out-soffits", "length 20", "debris-bags 4, strip-soffit 2.25"),
    (
        "box-soffits",
        "length 20",
        "lumber-2x4 140, framing-nails 120, drywall-half 2, drywall-screws 120, frame-soffit 5.15",
    ),
    (
        "replace-windows",
        "each 2",
        "window-vinyl 2, shims 16, gap-foam 1.5, flashing-tape 34, silicone 3, set-window 8",
    ),
    (
        "replace-exterior-doors",
        "each 1",
        "door-exterior 1, lockset 1, shims 12, gap-foam 0.75, flashing-tape 20, structural-screws 8,"
        " silicone 2, set-exterior-door 6",
    ),
    (
        "pocket-doors",
        "each 1",
        "pocket-frame 1, door-slab 1, pocket-pull 1, lumber-2x4 24, framing-nails 40, finish-nails 40,"
        " frame-pocket 6.5",
    ),
    # 150 sq ft of ceiling: sheeting 150 and 40 %, 150 x 2.6/100 + 0.75 h
    ("scrape-texture-off", "ceiling 150", "plastic-sheeting 210, debris-bags 4.5, scrape-texture 4.65"),
    (
        "texture-ceiling",
        "ceiling 140, rooms 1",
        "texture-powder 16, texture-hopper 1, plastic-sheeting 210, spray-texture 2.68",
    ),
    # 320 sq ft of wall: 384 sq ft with 20 %; 320 x 0.8/100 + 0.25 and 320 x 2.4/100 + 0.75 h
    (
        "hang-wallpaper",
        "wall_gross 320",
        "wallpaper 384, wallpaper-primer 16/15, wallpaper-paste 1, size-walls 2.81, hang-paper 8.43",
    ),
    (
        "patch-hardwood",
        "area 10",
        "oak-strip 11.5, flooring-cleats 50, subfloor-adhesive 0.4, lace-strip 3",
    ),
    (
        "lay-hardwood",
        "floor 200, doors 2",
        "oak-strip 220, flooring-cleats 1400, floor-paper 224, undercut-casing 0.7, lay-strip 12",
    ),
    # three coats on 200 sq ft: 3 x 200/500 gal; each 200 x 0.5/100 + 0.4 h
    (
        "refinish-hardwood",
        "floor 200, rooms 1",
        "floor-finish 1.2, floor-abrasive 4/3, floor-sander 1, vacuum-bags 1, sand-floor 6.7, coat-floor 4.2",
    ),
    (
        "floor-heat",
        "area 40, rooms 1",
        "heat-mat 40, heat-thermostat 1, electrician-visit 1, thinset-modified 24, lay-heat-mat 2.35,"
        " see-to-trade 1.25",
    ),
    (
        "counter-wood",
        "length 12",
        "wood-top 13.2, top-oil 0.5, counter-screws 24, silicone 0.5, set-wood-top 4.84",
    ),
    ("cabinet-crowns", "length 20", "cabinet-crown 23, brads 80, wood-glue 1/3, set-cabinet-crown 4.5"),
    ("light-rails", "length 20", "light-rail 23, brads 60, wood-glue 0.25, fix-light-rail 2.45"),
    ("end-panels", "each 2", "cabinet-end-panel 2, cabinet-screws 8, adhesive 0.6, fix-end-panel 1.8"),
    ("islands", "each 1", "lumber-2x4 14, structural-screws 12, cabinet-screws 12, shims 12, set-island 4"),
    ("corner-bead-paper-faced", "outside_corner 16", "corner-bead-paper 17.6, joint-compound 0.16,"
     " set-corner-bead 0.73"),
    ("lath-floor", "floor 100", "metal-lath 110, underlayment-staples 400, staple-lath 1.55"),
    ("job-kitchen", "each 1", "see-kitchen-through 7"),
    ("job-bath", "each 1", "see-bath-through 5"),
    ("job-room", "each 1", "see-room-through 1.5"),
    ("travel-far", "each 10", "drive-far 10"),
    ("parking", "each 4", "parking-permit 4, see-to-parking 1.2"),
    ("site-toilet", "each 4", "portable-toilet 4, see-to-toilet 1.4"),
    (
        "temporary-kitchen",
        "each 1",
        "utility-sink 1, plywood-34 1, lumber-2x4 32, supply-faucet 2, floor-cover 48, set-up-kitchen 3.5",
    ),
    ("asbestos-abatement", "each 1", "abatement 1, see-to-trade 1.25"),
    ("lead-records", "each 1", "keep-lead-records 0.75"),
    ("lead-clearance-test", "each 1", "lead-clearance 1, send-sample 0.5"),
]  # fmt: skip


def amounts(typed: str) -> dict[str, Fraction]:
    return {code: Fraction(amount) for code, amount in (part.split() for part in typed.split(","))}


@pytest.mark.parametrize(("code", "measured", "expected"), WORKED, ids=[row[0] for row in WORKED])
def test_work_takes_what_its_sizes_say(
    shipped: CatalogReader, code: str, measured: str, expected: str
) -> None:
    assert takes(shipped.assembly_by_code(code), **amounts(measured)) == amounts(expected)


def test_grout_of_mosaic_fills_what_tile_and_joint_leave(shipped: CatalogReader) -> None:
    # 2 in tile, 1/8 in joint, 1/4 in deep: (2.125 x 2.125 - 4) / (2.125 x 2.125) x 0.25 x 144 = 4.1107 cu in
    taken = takes(shipped.assembly_by_code("grout-shower-floor"), area=9)
    assert abs(
        taken["grout"] - 9 * Fraction("4.1107") / 1728 * Fraction("99.9") * Fraction("1.1")
    ) < Fraction(1, 500)
    # 11.29 ft of joint to a sq ft: 9 x 11.29 x 0.6/100, washed 9 x 1.4/100 + 0.5 h
    assert taken["fill-joint"] == 9 * Fraction("11.29") * Fraction("0.006")
    assert taken["wash-grout"] == 9 * Fraction("0.014") + Fraction(1, 2)


def test_no_material_is_shipped_that_no_assembly_uses() -> None:
    used = {part["material"] for entry in entries("assemblies") for part in entry["components"]
            if "material" in part}  # fmt: skip
    # A sheet of another size of one that is used is offered with it.
    sizes = {entry.get("sizes_of") for entry in entries("materials") if entry["code"] in used} - {None}
    idle = [entry["code"] for entry in entries("materials")
            if entry["code"] not in used and entry.get("sizes_of") not in sizes]  # fmt: skip
    assert idle == []


@pytest.mark.parametrize(
    ("work", "trade"),
    [
        ("shower-glass-by-others", "shower-glass"),
        ("receptacles-new", "receptacle-new"),
        ("circuits-new", "circuit-new"),
        ("asbestos-abatement", "abatement"),
        ("structural-opinion", "engineer-visit"),
    ],
)
def test_licensed_work_is_bought_from_whoever_is_licensed_for_it(work: str, trade: str) -> None:
    [material] = [entry for entry in entries("materials") if entry["code"] == trade]
    assert material["kind"] == "subcontract"
    assert any(word in material["name"] for word in ("licensed", "by others"))
    assert work in {entry["code"] for entry in entries("assemblies")}


def test_seeing_a_job_through_is_one_line_by_kind_of_job() -> None:
    kinds = [entry["code"] for entry in entries("assemblies") if entry.get("purpose") == "see a job through"]
    assert kinds == ["job-kitchen", "job-bath", "job-room"]
