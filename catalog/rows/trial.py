"""Trying an assembly on a room that has a quantity of its measure."""

from dataclasses import dataclass
from fractions import Fraction

from catalog.assemblies.expansion import Requirement, expand, hours
from catalog.assemblies.trial_room import trial_room
from catalog.models import Assembly, Firm
from catalog.rows.values import CatalogReader


@dataclass(frozen=True)
class AssemblyTrial:
    """What an assembly takes, its hours of labor, and the floor of the room it was tried on."""

    requirements: tuple[Requirement, ...]
    hours: Fraction
    floor_sqft: Fraction


def try_assembly(assembly: Assembly, firm: Firm, amount: Fraction) -> AssemblyTrial:
    """Return what an assembly takes on a square room with this amount of its measure, above zero."""
    measures, floor_sqft = trial_room(assembly.measure, amount)
    spec = CatalogReader(firm).assembly(assembly.pk)
    requirements = expand(spec, measures, firm_deduct=firm.deduct_rule)
    return AssemblyTrial(requirements, hours(requirements), floor_sqft)
