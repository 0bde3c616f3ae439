"""What a document says beside the work and the prices: the parties, the dates, and the firm's own words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any

from estimating.plain_text import nonblank_lines
from estimating.pricing.price import PricedLine


@dataclass(frozen=True)
class DocumentParty:
    """The firm or the client, as a document names them; a firm may have a logo and a color of its own.

    The logo is an SVG element or a JPEG in base 64.
    """

    name: str
    owner: str = ""
    license: str = ""
    address: str = ""
    phone: str = ""
    email: str = ""
    logo: str = ""
    color: str = ""

    def for_snapshot(self) -> dict[str, Any]:
        """Return the party as snapshots keep it."""
        return {
            "name": self.name,
            "owner": self.owner,
            "licence": self.license,
            "address": nonblank_lines(self.address),
            "phone": self.phone,
            "email": self.email,
            **({"logo": {"svg" if self.logo.startswith("<svg") else "jpeg": self.logo}} if self.logo else {}),
            **({"color": self.color} if self.color else {}),
        }


@dataclass(frozen=True)
class AllowanceTerms:
    """What an allowance covers beside the thing itself, and the day until which the client chooses."""

    covers_labor: bool = False
    covers_delivery: bool = False
    decide_by: date | None = None


@dataclass(frozen=True)
class ClientMaterial:
    """A material of a work item that the client brings; `work` is the key of the item."""

    work: str
    code: str
    name: str
    needed_by: date | None = None


@dataclass(frozen=True)
class DraftWording:
    """What the rows of a draft say beside its prices, read together with them.

    `decide_by` are last days by the keys of options and allowances, `allowances` terms by key, `brought`
    the materials that the client brings in the order of the work.
    """

    decide_by: Mapping[str, date] = field(default_factory=dict)
    allowances: Mapping[str, AllowanceTerms] = field(default_factory=dict)
    brought: Sequence[ClientMaterial] = ()


NO_WORDING = DraftWording()


@dataclass(frozen=True)
class Wording:
    """What a document says beside the work and the prices.

    `detail` is "total", "phase" or "line"; `scope_by` "work" or "room"; `phases` gives words for the
    phases; `decide_by` the dates of options by the key of their work, `allowances` terms by key. `opened`
    is what was looked at before the price was made, a thing a line; `photos`, and those of what was opened,
    are captions with JPEG in base 64. `summary` says in a line or two what is done, and is proposed from the
    work where it is empty; `letter` are words of the firm's own to this client. `signing_place` is where the
    client agrees, by which the right to cancel applies; empty where that isn't asked. `show_walls` draws the
    walls with their cabinets.
    """

    firm: DocumentParty
    client: DocumentParty
    job: str
    address: str
    dated: date
    valid_to: date
    year_built: int | None = None
    state: str = ""
    paper_size: str = "letter"
    metric: bool = False
    detail: str = "phase"
    scope_by: str = "work"
    phases: Mapping[str, str] = field(default_factory=dict)
    decide_by: Mapping[str, date] = field(default_factory=dict)
    allowances: Mapping[str, AllowanceTerms] = field(default_factory=dict)
    brought: Sequence[ClientMaterial] = ()
    assumptions: str = ""
    exclusions: str = ""
    set_aside: Sequence[str] = ()
    left_as_is: str = ""
    terms: str = ""
    opened: str = ""
    photos: Sequence[tuple[str, str]] = ()
    opened_photos: Sequence[tuple[str, str]] = ()
    signing_place: str = ""
    summary: str = ""
    letter: str = ""
    show_walls: bool = False


def iso_day(day: date | None) -> str:
    """Return a day as snapshots and bases keep it; empty for none."""
    return day.isoformat() if day else ""


def last_day(option: PricedLine, decide_by: Mapping[str, date]) -> date | None:
    """Return the last day to decide on an option: the first of those of its lines; None without any."""
    return min((decide_by[key] for key in option.work_keys if key in decide_by), default=None)
