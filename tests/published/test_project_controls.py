"""Man-hours for doors, windows and caulk from a project-controls compendium."""

from fractions import Fraction

from tests.published import Check, every_check
from tests.published.calculations import hours, room, take_off_assembly
from tests.published.sources import FITOUT, FRAME, HANG
from tests.specs import assembly, operation, uses

AGAINST = "the Compendium of the Guild of Project Controls"


def on_doors(rates: str, count: str, factor: str = "1") -> Fraction:
    """Hours of several operations on so many doors; the factor falls on the last of them."""
    *first, last = rates.split(", ")
    plain = sum((hours(count, f"{rate} hours each", "each") for rate in first), Fraction(0))
    return plain + hours(count, f"{last} hours each", "each", factor=factor)


def in_a_room(doors: str, windows: str, per_door: str, per_window: str, per_trim_ft: str) -> Fraction:
    """Hours on the openings of a measured room: each door, each window, and caulk along their trim."""
    spec = assembly(
        "openings",
        "rooms",
        *(
            uses(operation(code, f"{rate} hours per {unit}", unit), measure=code, scales_with=code)
            for code, rate, unit in (
                ("doors", per_door, "each"),
                ("windows", per_window, "each"),
                ("opening_trim", per_trim_ft, "ft"),
            )
            if rate
        ),
    )
    plan = room("20'", "15'", "8'", doors, windows)
    (work,) = take_off_assembly(spec, {"room": plan}).items
    return work.hours


CHECKS = (
    Check(
        "a single interior door: frame and trim 3, hang 5 hours",
        FITOUT,
        f"{FRAME}; {HANG}: single interior",
        on_doors,
        {"rates": "3, 5", "count": "1"},
        "8",
        basis="derived",
    ),
    Check(
        "a double interior door: frame and trim 4, hang 7 hours",
        FITOUT,
        f"{FRAME}; {HANG}: double interior",
        on_doors,
        {"rates": "4, 7", "count": "1"},
        "11",
        basis="derived",
    ),
    Check(
        "a single exterior door: frame and trim 3, hang 5 hours, three of them",
        FITOUT,
        f"{FRAME}; {HANG}: single exterior",
        on_doors,
        {"rates": "3, 5", "count": "3"},
        "24",
        basis="derived",
    ),
    Check(
        "power plane, butt router and mortiser take a quarter off hanging",
        FITOUT,
        "note 3: 0.75 on installation time of wood doors",
        on_doors,
        {"rates": "3, 5", "count": "1", "factor": "0.75"},
        "6.75",
        basis="derived",
    ),
    Check(
        "two doors in a measured room",
        FITOUT,
        f"{FRAME}; {HANG}: single interior",
        in_a_room,
        {
            "doors": "2' 6\" x 6' 8\", 2' 6\" x 6' 8\"",
            "windows": "",
            "per_door": "8",
            "per_window": "",
            "per_trim_ft": "",
        },
        "16",
        basis="derived",
    ),
    Check(
        "a door and two double-hung windows in a measured room",
        FITOUT,
        "Window Installation: wood, double hung, 4 hours each",
        in_a_room,
        {
            "doors": "2' 6\" x 6' 8\"",
            "windows": "3' x 4', 3' x 4'",
            "per_door": "8",
            "per_window": "4",
            "per_trim_ft": "",
        },
        "16",
        basis="derived",
    ),
    Check(
        "two fixed sashes of wood",
        FITOUT,
        "Window Installation: fixed, wood sash, 3 hours each",
        in_a_room,
        {"doors": "", "windows": "3' x 4', 2' x 2'", "per_door": "", "per_window": "3", "per_trim_ft": ""},
        "6",
        basis="derived",
    ),
    Check(
        "caulk along the trim of a 3 x 7 ft door: 17 ft",
        FITOUT,
        "Caulking, doors: 0.005 hours a foot",
        in_a_room,
        {"doors": "3' x 7'", "windows": "", "per_door": "", "per_window": "", "per_trim_ft": "0.005"},
        "0.085",
        basis="derived",
    ),
    Check(
        "caulk round two 3 x 4 ft windows: 28 ft",
        FITOUT,
        "Caulking, windows: 0.003 hours a foot",
        in_a_room,
        {
            "doors": "",
            "windows": "3' x 4', 3' x 4'",
            "per_door": "",
            "per_window": "",
            "per_trim_ft": "0.003",
        },
        "0.084",
        basis="derived",
    ),
)


@every_check(CHECKS)
def test_published_figure(check: Check) -> None:
    check.hold()
