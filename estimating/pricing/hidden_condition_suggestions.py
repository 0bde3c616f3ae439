"""Suggestions of hidden conditions: what often shows once a wall or floor is open (common practice).

Where the trade behind it is licensed, the line covers the firm's own part alone and says so.
"""

from dataclasses import dataclass

STRUCTURE = (
    "Structure: what a joist, stud or beam needs is decided by local code and, where it asks for one, by a "
    "licensed engineer or contractor. Beyond that the price is theirs."
)
ELECTRIC = (
    "Wiring is a licensed electrician's work, at his own price. This covers only opening up, making room "
    "and closing. Local code decides what must be brought up to it."
)
PLUMBING = (
    "Pipes are a licensed plumber's work where local code says so, at his own price. This covers only "
    "opening up and closing. Where gas is smelled, everybody leaves and the gas company is called."
)
# Work that may disturb asbestos: 29 CFR 1926.1101; renovation: 40 CFR part 61, subpart M, which leaves out
# houses of four or fewer dwellings (61.141); both from memory.
ASBESTOS = (
    "Old flooring, glue and pipe covering may hold asbestos: they are left alone until a sample was tested "
    "(29 CFR 1926.1101; 40 CFR part 61, subpart M). What holds it, a licensed firm takes out at "
    "its price."
)
# The size from which guidance asks for trained people is ten square feet or so of growth: from memory.
MOLD = "Where mold has spread, work stops there until somebody trained for it has looked. Local rules decide."


@dataclass(frozen=True)
class Suggestion:
    """A condition to choose and to price. `by_receipt` where what is bought for it is known only then.

    `like` is the code of the assembly of the starting catalog that does the same.
    """

    key: str
    name: str
    unit: str
    by_receipt: bool = False
    caution: str = ""
    like: str = ""


SUGGESTIONS = (
    Suggestion("subfloor", "Rotten subfloor cut out and replaced", "sq ft", like="replace-subfloor"),
    Suggestion("joist", "A weak joist sistered: a new one fixed beside it", "hour", True, caution=STRUCTURE),
    Suggestion(
        "framing", "Rotten studs or sole plate replaced in an open wall", "hour", True, caution=STRUCTURE
    ),
    Suggestion(
        "wiring", "Old or unsafe wiring: opened and closed for the electrician", "hour", caution=ELECTRIC
    ),
    Suggestion(
        "pipe", "Leaking or corroded pipe: opened and closed for the plumber", "hour", caution=PLUMBING
    ),
    Suggestion(
        "layer", "A further layer of old flooring taken up", "sq ft", caution=ASBESTOS, like="take-out-floor"
    ),
    Suggestion(
        "wall", "Crumbling plaster or board removed and boarded anew", "sq ft", like="patch-wall-large"
    ),
    Suggestion("level", "Floor leveled that is out by more than 1/8 in in 2 ft", "sq ft", like="level-floor"),
    Suggestion(
        "insulation", "Wet insulation removed and replaced", "sq ft", caution=MOLD, like="insulate-walls"
    ),
    Suggestion("mold", "Mold: closed off, opened and closed for whoever removes it", "hour", caution=MOLD),
    Suggestion("fan", "Drying fan", "day"),
)


def work_like(name: str) -> str:
    """Return the code of the assembly that does what a condition of this name does; empty where none does."""
    alike = {suggestion.name.casefold(): suggestion.like for suggestion in SUGGESTIONS}
    return alike.get(name.strip().casefold(), "")
