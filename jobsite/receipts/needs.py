"""Which lines of signed work need a material, and what was priced of it for each."""

from collections.abc import Iterable, Mapping
from fractions import Fraction

from estimating.contract.lines import SignedBasis
from jobsite.hours.finished import Place

Needs = Mapping[str, Mapping[Place, Fraction]]


def material_needs(bases: Iterable[SignedBasis]) -> Needs:
    """Return what was priced of each material, by its code, for the lines that need it.

    Contracts that were signed before that was kept have none: what is bought for them stands under the job.
    """
    needs: dict[str, dict[Place, Fraction]] = {}
    for basis in bases:
        for material in basis.basis.get("materials", ()):
            for key, cost in material.get("by_work", {}).items():
                needs.setdefault(material["code"], {})[basis.document, key] = Fraction(cost)
    return needs
