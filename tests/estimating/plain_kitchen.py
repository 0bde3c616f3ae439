"""The invented kitchen of the Okonjos as plain values, with every part that a document can have."""

from dataclasses import replace
from datetime import date
from decimal import Decimal
from fractions import Fraction
from typing import Any

from catalog.assemblies.specs import AssemblySpec, SheetSize
from catalog.measures.lengths import parse_length
from catalog.phases import Phase
from estimating.estimates.draft import Draft, price_draft
from estimating.pricing.price import AllowanceInput
from estimating.rooms.plan import Footprint, Opening, RoomPlan, rectangle
from estimating.snapshots.shopping_list import PackageFacts, Seller, ShoppingListHeader
from estimating.snapshots.wording import AllowanceTerms, ClientMaterial, DocumentParty, Wording
from estimating.takeoff.work import Conventions, Override, RoomUse, Work
from tests.specs import assembly, material, operation, policy, uses

DATED = date(2026, 11, 24)
FIRM = DocumentParty(
    "Tolliver Room & Tile",
    owner="Wren Tolliver",
    license="License FF-20418",
    address="12 Mill Street\nFennimore Falls",
    phone="555-0142",
    email="wren@tolliver.example.com",
)
CLIENT = DocumentParty(
    "Marisol and Dean Okonjo",
    address="418 Larkspur Lane\nFennimore Falls",
    phone="555-0177",
    email="okonjo@example.com",
)
SILICA = "Cutting board and tile makes silica dust: cut wet or with a vacuum (29 CFR 1926.1153)."


def kitchen_room() -> RoomPlan:
    """13'-4" x 10'-8", 8' high; a window in wall A, a cased opening in C, the back door in D."""
    return RoomPlan(
        name="Kitchen",
        legs=rectangle(parse_length("13' 4\""), parse_length("10' 8\"")),
        height_nm=parse_length("8'"),
        openings=(
            _opening("Window", "window", 0, '60"', '40"', sill_nm=parse_length('42"')),
            _opening("Opening", "cased", 2, '36"', '80"'),
            _opening("Back door", "door", 3, '36"', '80"'),
        ),
        ceiling_lights=6,
    )


def furnished_kitchen_room() -> RoomPlan:
    """The same kitchen with its cabinets on walls A and B, and with six switches and outlets."""
    return replace(
        kitchen_room(),
        footprints=(
            _cabinets("Sink run", 0, "13' 4\""),
            _cabinets("Range run", 1, "10' 8\""),
        ),
        device_boxes=6,
    )


def _cabinets(name: str, wall: int, length: str) -> Footprint:
    return Footprint(name, "cabinets", wall, None, parse_length(length), parse_length('24"'), off_base=True)


def pantry_room() -> RoomPlan:
    return RoomPlan(
        name="Pantry",
        legs=rectangle(parse_length("5'"), parse_length("4'")),
        height_nm=parse_length("8'"),
    )


def _opening(name: str, kind: str, wall: int, width: str, height: str, sill_nm: int = 0) -> Opening:
    return Opening(name, kind, wall, parse_length(width), parse_length(height), sill_nm)


def backer_board() -> AssemblySpec:
    sheet = SheetSize(parse_length("5'"), parse_length("3'"), parse_length('1/2"'))
    board = material("cement backer board", "each", ("1", "14.25"), sheet=sheet, caution=SILICA)
    return assembly(
        "backer board",
        "floor",
        uses(board, scales_with="sheets"),
        uses(material("thinset", "lb", ("50", "21.40")), "50 lb per 95 sq ft"),
        uses(material("screws", "each", ("750", "31.50"), ("185", "9.95")), scales_with="fasteners"),
        uses(operation("lay board", "5 hours per 100 sq ft", "sq ft", wait_hours=Fraction(12))),
        phase="board",
        board=board,
        caution=SILICA,
    )


def wall_paint() -> AssemblySpec:
    paint = material("wall paint", "gal", ("1", "46.00"), ("5", "205.00"))
    return assembly(
        "wall paint",
        "wall_net",
        uses(paint, "1 gal per 350 sq ft", times=2),
        uses(operation("roll walls", "1 hour per 150 sq ft", "sq ft"), times=2),
        phase="finish",
    )


def tile_floor() -> AssemblySpec:
    tile = material("porcelain tile 12x24", "sq ft", ("15.5", "69.75"), caution=SILICA)
    return assembly(
        "tile floor",
        "floor",
        uses(tile, "1 sq ft per sq ft", waste=Fraction("0.12")),
        uses(material("thinset", "lb", ("50", "21.40")), "50 lb per 42 sq ft"),
        uses(operation("set tile", "1 hour per 6 sq ft", "sq ft", wait_hours=Fraction(24))),
        phase="floor",
    )


def light_trims() -> AssemblySpec:
    return assembly(
        "light trims",
        "ceiling_lights",
        uses(material("light trim", "each", ("1", "21.00")), measure="ceiling_lights"),
        uses(operation("swap trim", "1 hour per 2 each", "each"), measure="ceiling_lights"),
        phase="set",
        caution="Wiring beyond the trim is a licensed electrician's. Power off before a trim is touched.",
    )


def kitchen_work() -> tuple[Work, ...]:
    both = (RoomUse("1"), RoomUse("2"))
    return (
        Work(
            "protect",
            "Protect floors and put up a dust barrier",
            "protect",
            scope="Paper and board on the way from the back door; a zipped plastic wall at the opening.",
            extra_hours=Fraction(6),
            material_cost=Decimal("120.00"),
        ),
        Work(
            "demo",
            "Remove the old kitchen",
            "take_out",
            scope="Cabinets, counter, flooring and the board on two walls.\nA 10-yard dumpster on the drive.",
            rooms=(RoomUse("1"),),
            extra_hours=Fraction(18),
            material_cost=Decimal("465.00"),
            material_taxable=False,
        ),
        Work(
            "board",
            "Lay cement backer board over thinset",
            "board",
            scope="1/2 in board, joints taped with alkali-resistant mesh tape and filled.",
            assembly=backer_board(),
            rooms=(RoomUse("1"),),
        ),
        Work(
            "paint",
            "Paint walls, two coats",
            "finish",
            scope="Washable matte, one color. Cut in by brush, rolled.",
            assembly=wall_paint(),
            rooms=(RoomUse("1", frozenset({2, 3})), RoomUse("2")),
        ),
        Work(
            "tile",
            "Set 12x24 porcelain, wall to wall",
            "floor",
            scope="One-third offset, lines along the long wall.",
            assembly=tile_floor(),
            rooms=both,
            overrides=(Override("floor", Fraction(165), "the closet floor runs on behind the door"),),
        ),
        Work(
            "lights",
            "Swap recessed light trims",
            "set",
            scope="On the wiring that is there.",
            assembly=light_trims(),
            rooms=(RoomUse("1"),),
            client_supplies=frozenset({"light-trim"}),
        ),
        Work("clean", "Clean up every day and at the end", "close", extra_hours=Fraction(8)),
        Work(
            "skim",
            "Skim walls A and B smooth, Level 5",
            "finish",
            scope="For paint with a sheen.",
            is_option=True,
            extra_hours=Fraction(9),
            material_cost=Decimal("38.00"),
        ),
    )


CABINETS = AllowanceInput("allowance-1", "Cabinets", "set", Decimal("6400.00"))


def kitchen(work: tuple[Work, ...] | None = None, **rule: Any) -> Draft:
    """The kitchen taken off and priced; `rule` changes how it is priced."""
    rule = {"tax_policy": "consumer", "tax_rate": Fraction("0.065"), "runs": 3, **rule}
    return price_draft(
        {"1": kitchen_room(), "2": pantry_room()},
        kitchen_work() if work is None else work,
        policy(**rule),
        Conventions(),
        [CABINETS],
    )


def kitchen_words(**changes: Any) -> Wording:
    """What its estimate says beside the work and the prices; `changes` replaces some of it."""
    return replace(
        Wording(
            firm=FIRM,
            client=CLIENT,
            job="Kitchen",
            address=CLIENT.address,
            dated=DATED,
            valid_to=date(2026, 12, 24),
            year_built=1962,
            detail="line",
            phases=dict(Phase.choices),
            decide_by={"skim": date(2027, 1, 15)},
            allowances={"allowance-1": AllowanceTerms(covers_delivery=True, decide_by=date(2026, 12, 11))},
            brought=(ClientMaterial("lights", "light-trim", "Light trim", date(2027, 2, 1)),),
            assumptions="The subfloor is sound under the old floor.\nPower and water stay on.",
            exclusions="Countertop, sink and plumbing hook-up\nAppliances\nNew wiring\nPermits",
            set_aside=("Transition strip at the opening",),
            left_as_is="Window\nBack door\nCeiling texture outside patches",
            terms="A third when we sign, a third when the tile is grouted, the rest when the list is done.",
        ),
        **changes,
    )


def kitchen_list(**changes: Any) -> ShoppingListHeader:
    """What its shopping list says beside the materials; `changes` replaces some of it."""
    seller, other = Seller("Fennimore Building Supply", "555-0119"), Seller("Tile Yard", "555-0133")
    return replace(
        ShoppingListHeader(
            firm=FIRM,
            client=CLIENT,
            job="Kitchen",
            address=CLIENT.address,
            dated=DATED,
            packages={
                "cement backer board 1": PackageFacts("sheet 3 x 5 ft", seller, date(2026, 11, 2)),
                "thinset 50": PackageFacts("50 lb bag", other, date(2026, 11, 2)),
                "screws 750": PackageFacts("box of 750", seller, date(2026, 5, 4), stale=True),
                "screws 185": PackageFacts("box of 185", seller, None, stale=True),
                "wall paint 1": PackageFacts("1 gal can", Seller(), date(2026, 11, 2)),
                "wall paint 5": PackageFacts("5 gal pail", Seller(), date(2026, 11, 2)),
                "porcelain tile 12x24 15.5": PackageFacts("box of 8, 15.5 sq ft", other, date(2026, 11, 2)),
            },
            brought=(ClientMaterial("lights", "light-trim", "Light trim", date(2027, 2, 1)),),
        ),
        **changes,
    )


def quick(title: str, phase: str, hours: str, material: str, taxable: bool = True, **fields: Any) -> Work:
    return Work(
        title,
        title,
        phase,
        extra_hours=Fraction(hours),
        material_cost=Decimal(material),
        material_taxable=taxable,
        **fields,
    )


def drafted(*work: Work, allowances: tuple[AllowanceInput, ...] = (), **rule: Any) -> Draft:
    rooms = {"1": kitchen_room(), "2": pantry_room()}
    return price_draft(rooms, work, policy(**rule), Conventions(), allowances)
