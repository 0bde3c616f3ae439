"""What he buys, how fast he works, and what a finished piece of work is made of."""

from catalog.models.assembly import (
    Assembly,
    Bundle,
    BundleLine,
    Companion,
    Component,
    Operation,
    Precedence,
    hours_fault,
)
from catalog.models.buying import Material, Package, Supplier
from catalog.models.firm import Detail, Firm, Openings, TaxPolicy, deduct_rule

__all__ = [
    "Assembly",
    "Bundle",
    "BundleLine",
    "Companion",
    "Component",
    "Detail",
    "Firm",
    "Material",
    "Openings",
    "Operation",
    "Package",
    "Precedence",
    "Supplier",
    "TaxPolicy",
    "deduct_rule",
    "hours_fault",
]
