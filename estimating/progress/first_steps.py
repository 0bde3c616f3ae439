"""The five steps of a new firm to its first estimate, each done by what is known or ticked by hand."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass

STEPS = ("name", "rate", "tax", "prices", "logo")


@dataclass(frozen=True)
class FirstStep:
    """A step: its code, what to do, why, the name of the address where it is done, and whether it is."""

    code: str
    title: str
    why: str
    address: str
    part: str  # of that page
    is_done: bool


@dataclass(frozen=True)
class FirmFacts:
    """What is known of a firm that is begun."""

    is_named: bool
    has_rate: bool
    has_tax: bool
    has_own_prices: bool
    has_logo: bool


def first_steps(facts: FirmFacts, ticked: Collection[str]) -> Sequence[FirstStep]:
    """Return the steps in order; what was ticked by hand is done as well."""
    rows = (
        (
            "name",
            "Say who you are",
            "Name, address and license stand on every paper.",
            "firm",
            "who",
            facts.is_named,
        ),
        (
            "rate",
            "Work out your hour",
            "Until then labor is priced at nothing.",
            "hourly-rate",
            "",
            facts.has_rate,
        ),
        ("tax", "Set the sales tax", "Who pays it, on what, and how much.", "firm", "tax", facts.has_tax),
        (
            "prices",
            "Look at the prices of what you buy most",
            "The catalog begins with example prices.",
            "materials",
            "",
            facts.has_own_prices,
        ),
        (
            "logo",
            "Put your logo on the papers",
            "Without one, your name is set well.",
            "letterhead",
            "",
            facts.has_logo,
        ),
    )
    return [FirstStep(*row[:5], is_done=row[5] or row[0] in ticked) for row in rows]
