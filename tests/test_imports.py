"""The layers of the house: what may import what."""

import ast
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MAY_IMPORT = {
    "catalog": {"catalog"},
    "estimating": {"catalog", "estimating"},
    "invoicing": {"catalog", "estimating", "invoicing"},
}
OURS = {"catalog", "estimating", "invoicing", "config"}
PURE = [
    "catalog.component_rates",
    "catalog.expansion",
    "catalog.formulas",
    "catalog.hourly_rate",
    "catalog.markup",
    "catalog.measures",
    "catalog.money",
    "catalog.nesting",
    "catalog.packaging",
    "catalog.readings",
    "catalog.trial",
    "catalog.units",
    "estimating.archive_metadata",
    "estimating.basis",
    "estimating.buying",
    "estimating.board_layouts",
    "estimating.cancellation",
    "estimating.cautions",
    "estimating.change_pricing",
    "estimating.change_rules",
    "estimating.change_terms",
    "estimating.compare",
    "estimating.contract",
    "estimating.contract_lines",
    "estimating.cut_outs",
    "estimating.cut_sheet",
    "estimating.document_states",
    "estimating.event_chain",
    "estimating.evidence",
    "estimating.found_suggestions",
    "estimating.geometry",
    "estimating.if_found",
    "estimating.late_prices",
    "estimating.layout_drawing",
    "estimating.layout_words",
    "estimating.options_taken",
    "estimating.order_check",
    "estimating.plan_drawing",
    "estimating.pricing",
    "estimating.revision",
    "estimating.scope_words",
    "estimating.sheet_estimate",
    "estimating.sheets",
    "estimating.shopping",
    "estimating.signed_prices",
    "estimating.snapshot",
    "estimating.stick_buying",
    "estimating.sticks",
    "estimating.surfaces",
    "estimating.takeoff",
    "estimating.tape",
    "estimating.wording",
    "invoicing.agreed",
    "invoicing.bill_basis",
    "invoicing.billing",
    "invoicing.cash",
    "invoicing.cash_drawing",
    "invoicing.cash_plan",
    "invoicing.crediting",
    "invoicing.deposit_rules",
    "invoicing.einvoice",
    "invoicing.einvoice_cii",
    "invoicing.einvoice_faults",
    "invoicing.einvoice_ubl",
    "invoicing.einvoice_xml",
    "invoicing.invoice_paper",
    "invoicing.journal",
    "invoicing.late",
    "invoicing.material_costs",
    "invoicing.milestones",
    "invoicing.patterns",
    "invoicing.postal",
    "invoicing.payment_rules",
    "invoicing.receivables",
    "invoicing.statement_paper",
    "invoicing.statements",
    "invoicing.time_and_material",
    "invoicing.weeks_drawing",
]
VALUE_LIBRARIES = {"holidays", "pint"}
OUTSIDE_WORLD = {"http", "io", "os", "pathlib", "random", "socket", "subprocess", "time", "urllib"}


def top(name: str) -> str:
    return name.partition(".")[0]


def source(module: str) -> Path:
    path = ROOT / module.replace(".", "/")
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def modules(package: str) -> list[str]:
    """Every module of a package that people wrote, by its dotted name."""
    files = (path.relative_to(ROOT).with_suffix("") for path in (ROOT / package).rglob("*.py"))
    return sorted(".".join(path.parts) for path in files if "migrations" not in path.parts)


def imports(module: str) -> Iterator[ast.Import | ast.ImportFrom]:
    """Every import statement of a module, those inside functions included."""
    tree = ast.parse(source(module).read_text())
    return (node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom))


def imported(module: str) -> set[str]:
    """The dotted names of the modules that a module imports."""
    names: set[str] = set()
    for node in imports(module):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
            continue
        submodules = {f"{node.module}.{alias.name}" for alias in node.names}
        names |= {name for name in submodules if source(name).exists()} or {str(node.module)}
    return names


def leaned_on(module: str) -> set[str]:
    """The module and all of ours that it imports, whether itself or through others."""
    found: set[str] = set()
    waiting = {module}
    while waiting:
        found |= waiting
        waiting = {name for each in waiting for name in imported(each) if top(name) in OURS} - found
    return found


@pytest.mark.parametrize("package", sorted(MAY_IMPORT))
def test_an_app_imports_only_itself_and_lower_apps(package: str) -> None:
    strays = {
        (module, name)
        for module in modules(package)
        for name in imported(module)
        if top(name) in OURS - MAY_IMPORT[package]
    }
    assert strays == set()


@pytest.mark.parametrize("module", PURE)
def test_pure_rules_know_no_framework_clock_file_or_network(module: str) -> None:
    known = (sys.stdlib_module_names - OUTSIDE_WORLD) | VALUE_LIBRARIES | OURS
    strays = {(each, name) for each in leaned_on(module) for name in imported(each) if top(name) not in known}
    assert strays == set()


@pytest.mark.parametrize("package", sorted(OURS))
def test_imports_are_absolute(package: str) -> None:
    relative = [
        module
        for module in modules(package)
        for node in imports(module)
        if isinstance(node, ast.ImportFrom) and node.level
    ]
    assert relative == []
