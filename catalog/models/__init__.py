"""The rows of the catalog: the firm, what it buys, how fast it works, and what its work is made of.

`firm` holds the one firm of the site and its settings; `buying` suppliers, materials and packages; `assembly`
labor, assemblies with their components, and kits. Imports catalog.measures, catalog.money, catalog.fields
and catalog.phases.
"""

from catalog.models.assembly import (
    HOURS_COLUMNS,
    Assembly,
    Companion,
    Component,
    Kit,
    KitLine,
    Operation,
    Precedence,
    hours_fault,
)
from catalog.models.buying import Material, Package, PriceColumns, Supplier, SupplierItem
from catalog.models.firm import ContingencyOf, Detail, Firm, Openings, TaxPolicy, Wage, deduct_rule

CodedRow = Material | Operation | Assembly | Kit  # known by its code in the starting catalog's files
ListedRow = CodedRow | Supplier  # in one of the catalog's five lists
ShippedRow = CodedRow | Package  # may have come with the starting catalog

__all__ = [
    "HOURS_COLUMNS",
    "Assembly",
    "Kit",
    "KitLine",
    "CodedRow",
    "Companion",
    "Component",
    "ContingencyOf",
    "Detail",
    "Firm",
    "ListedRow",
    "Material",
    "Openings",
    "Operation",
    "Package",
    "Precedence",
    "PriceColumns",
    "ShippedRow",
    "Supplier",
    "SupplierItem",
    "TaxPolicy",
    "Wage",
    "deduct_rule",
    "hours_fault",
]
