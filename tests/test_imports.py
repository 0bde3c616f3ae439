"""The layers of the house: what may import what."""

import ast
import sys
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
MAY_IMPORT = {
    "access": {"access"},
    "reading": {"reading"},
    "saving": {"saving"},
    "catalog": {"access", "reading", "saving", "catalog"},
    "estimating": {"access", "reading", "saving", "catalog", "estimating"},
    "jobsite": {"access", "reading", "saving", "catalog", "estimating", "jobsite"},
    "closing": {"access", "reading", "saving", "catalog", "estimating", "jobsite", "closing"},
    "invoicing": {"access", "reading", "saving", "catalog", "estimating", "jobsite", "closing", "invoicing"},
    "phone": {
        "access",
        "reading",
        "saving",
        "catalog",
        "estimating",
        "jobsite",
        "closing",
        "invoicing",
        "account",
        "phone",
    },
    "account": {"access", "reading", "saving", "catalog", "estimating", "account"},
    "backup": {"access", "reading", "saving", "catalog", "estimating", "account", "backup"},
    "reach": {"access", "reading", "saving", "catalog", "estimating", "backup", "reach"},
    "demo": {
        "access",
        "reading",
        "saving",
        "catalog",
        "estimating",
        "jobsite",
        "closing",
        "invoicing",
        "demo",
    },
}
OURS = {*MAY_IMPORT, "config"}
# Packages, lowest first: each imports only from those above it in this list. A file on top of an app
# (`catalog.phases`) is a package of its own here.
ORDER = [
    "access.waits",
    "access.models",
    "access.addresses",
    "access.devices",
    "access.attempts",
    "access.body_limits",
    "access.server",
    "access.management",
    "reading.prepared",
    "saving.new_tables",
    "saving.merge",
    "saving.forms",
    "saving.models",
    "saving.once",
    "saving.templatetags",
    "catalog.measures",
    "catalog.money",
    "catalog.letterhead",
    "catalog.assemblies",
    "catalog.fields",
    "catalog.phases",
    "catalog.models",
    "catalog.rows",
    "catalog.price_lists",
    "catalog.starter",
    "catalog.lists",
    "catalog.forms",
    "catalog.management",
    "catalog.templatetags",
    "catalog.views",
    "catalog.urls",
    "estimating.plain_text",
    "estimating.cabinets",
    "estimating.floor_structure",
    "estimating.rooms",
    "estimating.sheet_layout",
    "estimating.boards",
    "estimating.linear_stock",
    "estimating.takeoff",
    "estimating.schedule",
    "estimating.pricing",
    "estimating.ranges",
    "estimating.contract",
    "estimating.events",
    "estimating.models",
    "estimating.snapshots",
    "estimating.estimates",
    "estimating.documents",
    "estimating.database",
    "estimating.changes",
    "estimating.client",
    "estimating.forms",
    "estimating.estimate_file",
    "estimating.verification",
    "estimating.management",
    "estimating.progress",
    "estimating.search",
    "estimating.templatetags",
    "estimating.views",
    "estimating.urls",
    "estimating.apps",
    "jobsite.models",
    "jobsite.permits",
    "jobsite.diary",
    "jobsite.days",
    "jobsite.telling",
    "jobsite.choices",
    "jobsite.corrections",
    "jobsite.hours",
    "jobsite.receipts",
    "jobsite.outcome",
    "jobsite.forms",
    "jobsite.templatetags",
    "jobsite.learning",
    "jobsite.views",
    "jobsite.days_hooks",
    "jobsite.urls",
    "jobsite.apps",
    "closing.models",
    "closing.punch_list",
    "closing.care",
    "closing.forms",
    "closing.templatetags",
    "closing.views",
    "closing.urls",
    "closing.apps",
    "invoicing.milestones",
    "invoicing.billing",
    "invoicing.receivables",
    "invoicing.cash_flow",
    "invoicing.einvoice",
    "invoicing.snapshots",
    "invoicing.models",
    "invoicing.ledger",
    "invoicing.payment_plan",
    "invoicing.bookkeeping",
    "invoicing.reminders",
    "invoicing.invoices",
    "invoicing.payments",
    "invoicing.forms",
    "invoicing.views",
    "invoicing.management",
    "invoicing.billing_step",
    "invoicing.billing_hooks",
    "invoicing.urls",
    "invoicing.apps",
    "account.browsers",
    "account.models",
    "account.sessions",
    "account.seen",
    "account.passkeys",
    "account.second_step",
    "account.events",
    "account.forms",
    "account.again",
    "account.sign_in",
    "account.passkey_views",
    "account.views",
    "account.management",
    "account.urls",
    "account.apps",
    "phone.models",
    "phone.sign_in",
    "phone.shell",
    "phone.records",
    "phone.kept",
    "phone.views",
    "phone.urls",
    "phone.apps",
    "backup.manifest",
    "backup.retention",
    "backup.database_copy",
    "backup.move",
    "backup.archive",
    "backup.readable",
    "backup.folder",
    "backup.drill",
    "backup.forms",
    "backup.management",
    "backup.views",
    "backup.urls",
    "reach.findings",
    "reach.probes",
    "reach.site",
    "reach.management",
    "reach.views",
    "reach.urls",
    "demo.firm",
    "demo.payments",
    "demo.photo",
    "demo.year",
    "demo.load",
    "demo.management",
    "config",
]
MOST_MODULES = 15
# Packages of pure rules, and pure modules that live beside what knows the database.
PURE = [
    "saving.merge",
    "catalog.assemblies",
    "catalog.letterhead",
    "catalog.measures",
    "catalog.money",
    "backup.manifest",
    "backup.retention",
    "account.browsers",
    "reach.findings",
    "estimating.boards",
    "estimating.contract",
    "estimating.events",
    "estimating.linear_stock",
    "estimating.plain_text",
    "estimating.pricing",
    "estimating.ranges",
    "estimating.cabinets",
    "estimating.floor_structure",
    "estimating.rooms",
    "estimating.schedule",
    "estimating.sheet_layout",
    "estimating.snapshots",
    "estimating.takeoff",
    "invoicing.billing",
    "invoicing.cash_flow",
    "invoicing.einvoice",
    "invoicing.milestones",
    "invoicing.receivables",
    "invoicing.snapshots",
    "access.waits",
    "catalog.rows.us_states",
    "estimating.changes.price",
    "estimating.changes.snapshot",
    "estimating.changes.state_rules",
    "estimating.client.options",
    "estimating.client.price_comparison",
    "estimating.client.signature_record",
    "estimating.documents.milestone_work",
    "estimating.documents.pdf_metadata",
    "estimating.documents.progress_step",
    "estimating.estimates.work_order",
    "estimating.progress.first_steps",
    "estimating.progress.places",
    "estimating.progress.steps",
    "closing.care.sheet",
    "closing.punch_list.certificate",
    "closing.punch_list.items",
    "jobsite.choices.offers",
    "jobsite.days.kept_steps",
    "jobsite.days.outside",
    "jobsite.days.planned",
    "jobsite.days.weeks",
    "jobsite.days.words",
    "jobsite.diary.pages",
    "jobsite.hours.clock",
    "jobsite.hours.day",
    "jobsite.hours.finished",
    "jobsite.hours.progress",
    "jobsite.hours.targets",
    "jobsite.learning.evidence",
    "jobsite.learning.model",
    "jobsite.learning.rates",
    "jobsite.learning.suggestions",
    "jobsite.learning.together",
    "jobsite.learning.trips",
    "jobsite.learning.waste",
    "jobsite.outcome.drawing",
    "jobsite.outcome.job",
    "jobsite.outcome.year",
    "jobsite.permits.lead",
    "jobsite.permits.lead_papers",
    "jobsite.receipts.costs",
    "jobsite.receipts.needs",
    "jobsite.receipts.prices",
    "jobsite.receipts.shopping",
]
VALUE_LIBRARIES = {"holidays", "ortools", "pint"}
OUTSIDE_WORLD = {"http", "io", "os", "pathlib", "random", "socket", "subprocess", "time", "urllib"}
TEXT_ALONE = "urllib.parse"  # takes addresses apart and opens none


def top(name: str) -> str:
    return name.partition(".")[0]


def source(module: str) -> Path:
    path = ROOT / module.replace(".", "/")
    return path / "__init__.py" if path.is_dir() else path.with_suffix(".py")


def modules(package: str) -> list[str]:
    """Every module of a package that people wrote, by its dotted name; the module itself where it is one."""
    folder = ROOT / package.replace(".", "/")
    files = folder.rglob("*.py") if folder.is_dir() else [folder.with_suffix(".py")]
    dotted = (".".join(path.relative_to(ROOT).with_suffix("").parts) for path in files)
    return sorted(name.removesuffix(".__init__") for name in dotted if ".migrations" not in name)


def package_of(module: str) -> str:
    """The entry of ORDER that a module belongs to; an app's own `__init__` counts as no package."""
    return "config" if top(module) == "config" else ".".join(module.split(".")[:2])


@cache
def imports(module: str) -> tuple[ast.Import | ast.ImportFrom, ...]:
    """Every import statement of a module, those inside functions included."""
    tree = ast.parse(source(module).read_text())
    return tuple(node for node in ast.walk(tree) if isinstance(node, ast.Import | ast.ImportFrom))


@cache
def imported(module: str) -> frozenset[str]:
    """The dotted names of the modules that a module imports."""
    names: set[str] = set()
    for node in imports(module):
        if isinstance(node, ast.Import):
            names.update(alias.name for alias in node.names)
            continue
        submodules = {f"{node.module}.{alias.name}" for alias in node.names}
        names |= {name for name in submodules if source(name).exists()} or {str(node.module)}
    return frozenset(names)


def leaned_on(module: str) -> set[str]:
    """The module and all of ours that it imports, whether itself or through others."""
    found: set[str] = set()
    waiting = {module}
    while waiting:
        found |= waiting
        waiting = {name for module in waiting for name in imported(module) if top(name) in OURS} - found
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


def test_every_package_has_its_place_in_the_order() -> None:
    apps = {name for app in MAY_IMPORT for name in modules(app)} - set(MAY_IMPORT)
    assert {package_of(name) for name in apps} | {"config"} == set(ORDER)


@pytest.mark.parametrize("package", ORDER)
def test_a_package_imports_only_from_packages_before_it(package: str) -> None:
    allowed = {*ORDER[: ORDER.index(package) + 1], *OURS}
    against = {
        (module, name)
        for module in modules(package)
        for name in imported(module)
        if top(name) in OURS and package_of(name) not in allowed
    }
    assert against == set()


@pytest.mark.parametrize("package", ORDER)
def test_a_package_stays_small_enough_to_read_its_list_of_files(package: str) -> None:
    folders = {name.rpartition(".")[0] for name in modules(package)} - {"config"}
    sizes = {
        folder: len(
            [path for path in (ROOT / folder.replace(".", "/")).glob("*.py") if path.stem != "__init__"]
        )
        for folder in folders
        if folder not in MAY_IMPORT
    }
    assert {folder: size for folder, size in sizes.items() if size > MOST_MODULES} == {}


@pytest.mark.parametrize("package", [name for name in ORDER if (ROOT / name.replace(".", "/")).is_dir()])
def test_a_package_says_what_it_is_for(package: str) -> None:
    assert ast.get_docstring(ast.parse(source(package).read_text()))


@pytest.mark.parametrize("package", PURE)
def test_pure_rules_know_no_framework_clock_file_or_network(package: str) -> None:
    known = (sys.stdlib_module_names - OUTSIDE_WORLD) | VALUE_LIBRARIES | OURS
    strays = {
        (module, name)
        for rule in modules(package)
        for module in leaned_on(rule)
        for name in imported(module)
        if top(name) not in known and not name.startswith(TEXT_ALONE)
    }
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
