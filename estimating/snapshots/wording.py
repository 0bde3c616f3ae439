"""What a paper says beside the work and the sums: the parties, the dates, and the firm's own words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True)
class Party:
    """Somebody named on a paper, as the paper names him."""

    name: str
    owner: str = ""
    license: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""


@dataclass(frozen=True)
class AllowanceTerms:
    """What an allowance covers beside the thing itself, and until when the client chooses."""

    covers_labor: bool = False
    covers_delivery: bool = False
    decide_by: date | None = None


@dataclass(frozen=True)
class Brought:
    """A material of a work item that the client brings."""

    work: str
    code: str
    name: str
    needed_by: date | None = None


@dataclass(frozen=True)
class Wording:
    """What a paper says beside the work and the sums.

    `detail` is "total", "phase" or "line"; `scope_by` "work" or "room"; `phases` gives words for the
    phases; `decide_by` the dates of options by the key of their work, `allowances` terms by key. `opened`
    is what was looked at before the price was made, a thing a line, `opened_photos` captions with JPEG in
    base 64.
    """

    firm: Party
    client: Party
    job: str
    address: str
    dated: date
    valid_to: date
    year_built: int | None = None
    paper_size: str = "letter"
    metric: bool = False
    detail: str = "phase"
    scope_by: str = "work"
    phases: Mapping[str, str] = field(default_factory=dict)
    decide_by: Mapping[str, date] = field(default_factory=dict)
    allowances: Mapping[str, AllowanceTerms] = field(default_factory=dict)
    brought: Sequence[Brought] = ()
    assumptions: str = ""
    exclusions: str = ""
    set_aside: Sequence[str] = ()
    left_as_is: str = ""
    terms: str = ""
    opened: str = ""
    opened_photos: Sequence[tuple[str, str]] = ()
