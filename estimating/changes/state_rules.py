"""The rules of some states for changes to a home-improvement contract, as cautions; they change no number.

Each rule has its citation, where it was read and on which day. Statutes change, and a state that isn't here
may have a rule too, so every caution ends with a call to check.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

SEEN = date(2026, 11, 25)
CHECK = "Check your local law."


@dataclass(frozen=True)
class ChangeRule:
    """A state's rule in words; `address` is the page where it was read, on the day `seen`.

    `read_in` is "the text" of the law or "another's account" of it.
    """

    state: str
    name: str
    text: str
    citation: str
    address: str
    read_in: str = "the text"
    seen: date = SEEN


RULES: Mapping[str, tuple[ChangeRule, ...]] = {
    "CA": (
        ChangeRule(
            "CA",
            "California",
            "a change order must be in writing and signed by both before any of its work starts, and must "
            "state the scope, the amount added or deducted, and the effect on progress payments or on the "
            "completion date. One that isn't can't be enforced, though a court may still grant fair pay",
            "Business and Professions Code 7159.6(a), (c)",
            "https://california.public.law/codes/ca_bus_and_prof_code_section_7159.6",
        ),
    ),
    "ME": (
        ChangeRule(
            "ME",
            "Maine",
            "a change order must be in writing, signed by both, and state the previous and the revised price",
            "10 M.R.S. 1486-1488",
            "https://perkinsthompson.com/contractors-need-written-contract-maines-home-construction-contract-act/",
            read_in="another's account",
        ),
    ),
    "PA": (
        ChangeRule(
            "PA",
            "Pennsylvania",
            "what the contract specifies changes only by a written change order signed by the owner and the "
            "contractor",
            "73 P.S. 517.7(a)(7)",
            "https://govt.westlaw.com",
        ),
    ),
    "NY": (
        ChangeRule(
            "NY",
            "New York",
            "the contract and all amendments must be in writing and signed by all parties",
            "General Business Law 771(1)",
            "https://nysenate.gov/legislation/laws/GBS/771",
        ),
    ),
}
ELSEWHERE = (
    "Have it signed before its work starts (common practice): many states ask for that, and for the old and "
    f"the new price and date. {CHECK}"
)

# Where a release in writing by the creditor alone holds by statute; read on RELEASES_SEEN. It is the general
# principle too: who is owed money binds himself by a writing that he signs.
RELEASES_SEEN = date(2026, 11, 28)
RELEASES: Mapping[str, str] = {
    "CA": "California's Civil Code 1541: a release in writing holds with or without new consideration",
    "NY": (
        "New York's General Obligations Law 15-303: a written release of part of a debt holds without "
        "consideration"
    ),
}
# States whose rule wants both to sign every change of a contract, and where no such release was found.
BOTH_SIGN = frozenset({"ME", "PA"})

_NAMES = {rule.name.lower(): state for state, rules in RULES.items() for rule in rules}
_CODE = re.compile(r"(?:,\s*|\s)([A-Z]{2})\.?(?:\s+\d{5}(?:-\d{4})?)?\s*$", re.MULTILINE)


def state_of(address: str) -> str:
    """Return the two letters of the state in an address; empty where it names none.

    The state is the two letters at the end of a line, before a ZIP code if there is one, of the last such
    line; or the name, after a comma, of a state with a rule here.
    """
    codes: list[str] = _CODE.findall(address)
    if codes:
        return codes[-1]
    lower = address.lower()
    named = (state for name, state in _NAMES.items() if re.search(rf",\s*{name}\b", lower))
    return next(named, "")


def change_cautions(address: str, state: str = "") -> list[str]:
    """Return what to mind before the work of a change at this address starts.

    `state` is the job's state in two letters where it is known; otherwise the address says it.
    """
    rules = RULES.get(state or state_of(address), ())
    if not rules:
        return [ELSEWHERE]
    return [
        f"{rule.name}: {rule.text} ({rule.citation}; read in {rule.read_in}, {rule.seen:%Y-%m-%d}). {CHECK}"
        for rule in rules
    ]


def reason_it_stands(address: str, state: str = "") -> str:
    """Return why a change in which the firm gives up part of the price stands without the client's signature.

    Empty where the rule of the state at this address wants both to sign. No advice on law: a principle, with
    where it is written.
    """
    here = state or state_of(address)
    if here in BOTH_SIGN:
        return ""
    where = RELEASES[here] if here in RELEASES else f"so {'; and '.join(RELEASES.values())}"
    return (
        "Who is owed money can give up part of it in a writing signed by himself alone, as the other side "
        f"only gains ({where}; read {RELEASES_SEEN:%Y-%m-%d}). {CHECK}"
    )
