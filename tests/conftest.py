"""Settings and fixtures for every test, and what happens to tests that this machine cannot run.

On a machine without Chromium the browser tests are skipped, with a line that says so. With
BENCHRULE_CI=1 a skipped test fails instead, so that nothing goes unproved unnoticed.
"""

import gc
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections import Counter
from collections.abc import Callable, Generator, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import hypothesis
import pytest
from django.conf import settings
from django.contrib.auth.models import Permission, User
from django.contrib.contenttypes.models import ContentType
from django.core.management.color import Style
from django.core.management.commands import flush
from django.db import connection
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.backends.base.operations import BaseDatabaseOperations
from django.db.backends.signals import connection_created
from django.test import Client
from django.utils import timezone
from playwright.sync_api import Browser, ConsoleMessage, Error, Page, expect, sync_playwright
from pytest_django import DjangoDbBlocker
from pytest_django.live_server_helper import LiveServer
from xdist.workermanage import WorkerController

from estimating.documents import clock, write_protection
from tests.drawn_once import drawn_anew, drawn_once
from tests.migrated_once import keep, kept_file, remove, take
from tests.undone import undone

# The shell is the same browser without its own windows and menus, which take a third of its work.
CHROMIUM = os.environ.get("BENCHRULE_CHROMIUM") or next(
    filter(None, map(shutil.which, ("chromium-headless-shell", "chromium"))), None
)
MUST_RUN = os.environ.get("BENCHRULE_CI") == "1"
TESTS = Path(__file__).parent
LONG = {  # files that take most of ten seconds or more: begun first, so that no worker waits at the end
    "access/test_server.py",
    "backup/test_archive.py",
    "backup/test_move.py",
    "browser/test_bill_a_kitchen.py",
    "browser/test_change_order.py",
    "browser/test_client_signs.py",
    "browser/test_draw_a_plan.py",
    "browser/test_frame.py",
    "browser/test_keep_hours.py",
    "browser/test_keyboard_alone.py",
    "browser/test_lay_the_boards.py",
    "browser/test_on_site.py",
    "browser/test_plan_the_days.py",
    "browser/test_quote_a_kitchen.py",
    "browser/test_quote_the_bath.py",
    "catalog/starter/test_on_every_room.py",
    "catalog/views/test_browser.py",
    "config/test_ids_in_addresses.py",
    "drill/test_kill_drill.py",
    "estimating/boards/test_shared_sheets.py",
    "estimating/boards/test_tile_patterns.py",
    "estimating/documents/test_drawing_process.py",
    "estimating/documents/test_first_page.py",
    "estimating/documents/test_numbers.py",
    "estimating/documents/test_pdf.py",
    "estimating/views/test_client_page.py",
    "estimating/views/test_client_page_refusals.py",
    "invoicing/test_one_truth.py",
    "invoicing/views/test_invoices.py",
    "saving/test_every_form.py",
}
NOW = timezone.now
LATER = NOW() - datetime(2026, 11, 25, 15, tzinfo=UTC)  # a Wednesday
LEFT_TO_SQLITE = pytest.StashKey[int]()

PHONE: dict[str, Any] = {"viewport": {"width": 390, "height": 844}, "has_touch": True, "is_mobile": True}
DESK: dict[str, Any] = {"viewport": {"width": 1280, "height": 800}}


def pytest_configure() -> None:
    """Quick passwords, static files as they lie in the tree, and no clock on property tests."""
    gc.disable()  # until all tests are collected: what is collected stays, and there is a lot of it
    too_slow = [hypothesis.HealthCheck.too_slow]
    hypothesis.settings.register_profile("unhurried", deadline=None, suppress_health_check=too_slow)
    hypothesis.settings.load_profile("unhurried")
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    settings.WHITENOISE_AUTOREFRESH = True  # else each new client begins with a look at all static files
    settings.MAIL_BESIDE_PAGES = False  # a test's own thread sends, so that it is done when the answer comes
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    default: dict[str, Any] = settings.DATABASES["default"]
    # No test asks what outlives a power cut of its machine: nothing has to be waited for on the disk.
    if _engine() == "postgresql":
        default["OPTIONS"] = {**default.get("OPTIONS", {}), "options": "-c synchronous_commit=off"}
    if _engine() == "sqlite":
        # In a file, as on the site: two requests at once lock tables of a database in memory, for which
        # SQLite has no waiting.
        name = Path(tempfile.gettempdir()) / f"benchrule-tests-{os.getpid()}.sqlite3"
        default["TEST"] = {**default.get("TEST", {}), "NAME": str(name)}
        pragmas = default["OPTIONS"]["init_command"]
        default["OPTIONS"] = {**default["OPTIONS"], "init_command": f"{pragmas};PRAGMA synchronous=OFF"}
        connection_created.connect(_empty_the_log)


def _empty_the_log(connection: BaseDatabaseWrapper, **kwargs: Any) -> None:
    """Have the log of a worker's own database taken over into its file now and then, and not at each commit
    as on the site: no test asks what a copy of that file holds.
    """
    if "benchrule-tests-" in str(connection.settings_dict["NAME"]):
        with connection.cursor() as cursor:
            cursor.execute("PRAGMA wal_autocheckpoint=1000")


def _engine() -> str:
    """The database in use: "sqlite" or "postgresql"."""
    return str(settings.DATABASES["default"]["ENGINE"]).rpartition(".")[2].removesuffix("3")


def _other_engine(item: pytest.Item) -> str | None:
    """The name of the database that the test needs, if it is not the one in use."""
    for engine in ("postgresql", "sqlite"):
        if item.get_closest_marker(engine) and engine != _engine():
            return engine
    return None


def _tries_the_database(item: pytest.Item) -> bool:
    """Whether the test can come out otherwise on another database: the rule of what runs on PostgreSQL.

    That can be different in SQL that only one of them takes, in its sums and its order, in triggers, locks,
    races and what a column refuses. A walk opens every page and posts every form
    (tests/saving/test_every_form.py), and so has all their queries asked. So left out are

    - what asks for no database, itself or through a fixture;
    - what judges pages: a browser's tests, and those in a folder `views`, unless they take transactions of
      their own. What searches, signs, issues, counts queries or tries what the database refuses is marked
      `every_database` there, as is one long journey in the browser;
    - what is marked `one_database`: walks over rules, what only reads the shipped files, and processes that
      say or do the same whatever database they have.
    """
    if item.get_closest_marker("one_database"):
        return False
    if item.get_closest_marker("every_database"):
        return True
    in_database = item.get_closest_marker("django_db")
    own_transactions = in_database is not None and in_database.kwargs.get("transaction", False)
    if item.get_closest_marker("browser") or (item.path.parent.name == "views" and not own_transactions):
        return False
    asked_for = {"db", "transactional_db", "live_server", "process_environment"}
    return bool(in_database or asked_for & set(getattr(item, "fixturenames", ())))


@pytest.hookimpl(trylast=True)  # after what the command line leaves out
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Put what takes long first, and skip what needs another database, or a browser that is not there.

    On PostgreSQL, what comes out the same is left to the run on SQLite.
    """
    if _engine() == "postgresql":
        left_out = [item for item in items if not _tries_the_database(item)]
        items[:] = [item for item in items if _tries_the_database(item)]
        config.hook.pytest_deselected(items=left_out)
        config.stash[LEFT_TO_SQLITE] = len(left_out)
    items.sort(key=lambda item: item.path.relative_to(TESTS).as_posix() not in LONG)
    for item in items:
        if engine := _other_engine(item):
            item.add_marker(pytest.mark.skip(reason=f"needs {engine}: set or unset DATABASE_URL"))
        elif item.get_closest_marker("browser") and not CHROMIUM:
            item.add_marker(pytest.mark.skip(reason="needs Chromium, which is not installed"))


def pytest_collection_finish() -> None:
    """Leave the thousands of tests and their modules out of every later collection of garbage, and have
    that be rare: pages and queries are garbage at once and in numbers, and 20 MB of it do no harm."""
    gc.freeze()
    gc.set_threshold(100_000, 20, 50)
    gc.enable()


@pytest.hookimpl(tryfirst=True)  # before fixtures of a whole file are made
def pytest_runtest_setup(item: pytest.Item) -> None:
    """Let a test begin on a day that stays: papers of tests are dated near it, and then get old.

    Browsers have a clock of their own, and what they send goes by it: with them it is today.
    """
    timezone.now = NOW if item.get_closest_marker("browser") else _now_of_tests


def _now_of_tests() -> datetime:
    return NOW() - LATER


@pytest.hookimpl(wrapper=True)
def pytest_runtest_makereport(item: pytest.Item) -> Generator[None, pytest.TestReport, pytest.TestReport]:
    """Turn a skip into a failure where everything must run; the other database has a run of its own."""
    report = yield
    if MUST_RUN and report.skipped and not hasattr(report, "wasxfail") and not _other_engine(item):
        reason = report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr
        report.outcome = "failed"
        report.longrepr = f"Skipped where every test must run: {reason}"
    return report


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Let a worker tell the process that reports how many tests it left to SQLite."""
    if hasattr(session.config, "workeroutput"):
        session.config.workeroutput["left_to_sqlite"] = session.config.stash.get(LEFT_TO_SQLITE, 0)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: WorkerController) -> None:
    """Hear it, where a worker came to its end."""
    node.config.stash[LEFT_TO_SQLITE] = getattr(node, "workeroutput", {}).get("left_to_sqlite", 0)


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """One plain line for each reason to skip, and for what was left to SQLite."""
    if left_out := config.stash.get(LEFT_TO_SQLITE, 0):
        why = "they can't come out otherwise here"
        terminalreporter.write_line(f"{left_out} left to the run on SQLite: {why}.")
    skipped = terminalreporter.stats.get("skipped", [])
    reasons = Counter(str(report.longrepr[2]).removeprefix("Skipped: ") for report in skipped)
    for reason, count in sorted(reasons.items()):
        terminalreporter.write_line(f"{count} skipped: {reason}.")


@pytest.fixture(scope="session")
def migrated(request: pytest.FixtureRequest) -> Path | None:
    """The file in which the migrated database is kept from run to run; none without pytest's cache."""
    cache = getattr(request.config, "cache", None)
    if _engine() != "sqlite" or cache is None or request.config.getoption("create_db"):
        return None
    return kept_file(cache.mkdir("migrated"))


@pytest.fixture(scope="session")
def django_db_keepdb(migrated: Path | None) -> bool:
    """Whether the database that lies there is brought up to date, and not made anew."""
    return migrated is not None


@pytest.fixture(scope="session")
def django_db_modify_db_settings(
    django_db_modify_db_settings_parallel_suffix: None, migrated: Path | None
) -> Iterator[None]:
    """Begin with a copy of the migrated database where there is one, and leave none behind."""
    default: dict[str, Any] = settings.DATABASES["default"]
    name = Path(default["TEST"]["NAME"]) if migrated else None
    if name and migrated:
        take(migrated, name)
    yield
    if name:
        remove(name.with_name(f"{name.name}{end}") for end in ("", "-wal", "-shm"))


@pytest.fixture(scope="session")
def django_db_setup(django_db_setup: None, migrated: Path | None, django_db_blocker: DjangoDbBlocker) -> None:
    """Keep the database for the next run, once it is migrated."""
    if migrated and not migrated.exists():
        with django_db_blocker.unblock():
            keep(migrated)


@pytest.fixture(autouse=True, scope="session")
def flush_takes_what_was_written() -> Iterator[None]:
    """Let Django clear the tables after a test with real transactions, issued papers and all.

    Only where there are rows: PostgreSQL begins a new file for each table that it truncates, and there are
    some seventy. Content types and permissions stay, so that nothing has to be made anew.
    """
    operations = type(connection.ops)
    clear = operations.execute_sql_flush
    stay = {ContentType._meta.db_table, Permission._meta.db_table}

    def delete(self: BaseDatabaseOperations, style: Style, tables: list[str], **how: bool) -> list[str]:
        quoted = {table: self.quote_name(table) for table in tables if table not in stay}
        with self.connection.cursor() as cursor:
            cursor.execute(
                " UNION ALL ".join(
                    f"SELECT '{table}' WHERE EXISTS (SELECT 1 FROM {name})" for table, name in quoted.items()
                )
            )
            return [f"DELETE FROM {quoted[table]}" for (table,) in cursor.fetchall()]

    def cleared(self: BaseDatabaseOperations, sql_list: list[str]) -> None:
        with write_protection.without_triggers(self.connection):
            clear(self, sql_list)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(operations, "sql_flush", delete)
        patch.setattr(operations, "execute_sql_flush", cleared)
        patch.setattr(flush, "emit_post_migrate_signal", lambda *_: None)
        yield


@pytest.fixture(autouse=True)
def _any_date_is_right(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Let tests date papers as they like, whatever day it is; those of the clock say `asks_for_the_date`."""
    if not request.node.get_closest_marker("asks_for_the_date"):
        monkeypatch.setattr(clock, "last_days", lambda: (None, None))


@pytest.fixture(autouse=True, scope="session")
def _pdfs_drawn_once(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Draw the PDFs that tests read, each once in a run for all its workers; the renderer's own tests use
    `draw_anew`.

    Two runs on the same code, one after the other, may share a folder that was made for them.
    """
    folder = tmp_path_factory.getbasetemp()  # of this worker, inside the folder of this run
    own = (folder.parent if "PYTEST_XDIST_WORKER" in os.environ else folder) / "pdfs"
    with drawn_once(Path(os.environ.get("BENCHRULE_DRAWN") or own)):
        yield


@pytest.fixture(scope="module")
def draw_anew() -> Iterator[None]:
    """Draw every PDF that this module asks for from now on, even those drawn before."""
    with drawn_anew():
        yield


@pytest.fixture
def data_folder(transactional_db: None, tmp_path: Path) -> Path:
    """A data folder for other processes; on SQLite with a copy of the test's database, which is migrated."""
    if connection.vendor == "sqlite":
        with connection.cursor() as cursor:
            cursor.execute("VACUUM INTO %s", [f"{tmp_path / 'benchrule.sqlite3'}"])
    return tmp_path


@pytest.fixture
def process_environment(data_folder: Path) -> dict[str, str]:
    """The environment of other processes that share the test's database: a copy of it in a SQLite file of
    their own, or the PostgreSQL database itself."""
    environment = {**os.environ, "BENCHRULE_DATA": f"{data_folder}"}
    if connection.vendor == "postgresql":
        at = connection.settings_dict
        environment["DATABASE_URL"] = (
            f"postgresql://{at['USER']}:{at['PASSWORD']}@{at['HOST']}:{at['PORT'] or 5432}/{at['NAME']}"
        )
    return environment


@pytest.fixture
def in_processes(process_environment: dict[str, str]) -> Callable[[str, str], Any]:
    """Runs `python -m module what` on a database that several processes can open; gives back the JSON that
    it printed."""

    def run(module: str, what: str) -> Any:
        done = subprocess.run(
            [sys.executable, "-m", module, what],
            cwd=settings.BASE_DIR,
            env=process_environment,
            capture_output=True,
            text=True,
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout)

    return run


@pytest.fixture(autouse=True)
def _backups_of_tests(tmp_path_factory: pytest.TempPathFactory) -> None:
    """Let no test write among the real backups."""
    settings.BACKUPS_DIR = tmp_path_factory.getbasetemp() / "backups"


@pytest.fixture(scope="module")
def kept_rows(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[None]:
    """Keep what the module's own fixtures write for all of its tests, each of which is undone by itself.

    For fixtures of a module's scope that make a job signed or billed; a test reads its row anew. Not in a
    module with tests that take transactions of their own, that ask for the date, or that begin with none.
    """
    with django_db_blocker.unblock(), undone(), pytest.MonkeyPatch.context() as patch:
        patch.setattr(clock, "last_days", lambda: (None, None))
        yield


@pytest.fixture
def owner(db: None) -> User:
    """The remodeler who owns the firm."""
    return User.objects.create_user("pat", password="a tape and a pencil")


@pytest.fixture
def signed_in(owner: User, client: Client) -> Client:
    """Django's test client with the owner signed in."""
    client.force_login(owner)
    return client


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """One browser for all tests that want one."""
    # Playwright runs an event loop in this thread, which Django would take for async code.
    with pytest.MonkeyPatch.context() as patch, sync_playwright() as playwright:
        patch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
        arguments = ["--no-sandbox"] if os.geteuid() == 0 else []
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=arguments)
        expect.set_options(timeout=20_000)  # milliseconds: a busy machine is slow, not wrong
        yield browser
        browser.close()


@pytest.fixture(scope="session")
def spare_pages() -> dict[str, list[Page]]:
    """Pages that tests are through with, by the options that they were opened with."""
    return {}


@pytest.fixture
def open_page(
    chromium: Browser, live_server: LiveServer, spare_pages: dict[str, list[Page]]
) -> Iterator[Callable[..., Page]]:
    """Opens a page of the running site: `open_page(**PHONE)`, `open_page(**DESK, java_script_enabled=False)`.

    Each has cookies of its own. A new page takes Chromium most of a second, so one that another test is
    through with is taken where there is one. The test fails when a script throws or the content policy stops
    something.
    """
    faults: list[str] = []
    in_use: list[tuple[str, Page]] = []

    def note_message(message: ConsoleMessage) -> None:
        if "Content Security Policy" in message.text or "Refused to" in message.text:
            faults.append(message.text)

    def note_error(error: Error) -> None:
        faults.append(str(error))

    def opened(**options: Any) -> Page:
        options.setdefault("service_workers", "block")  # none stays for the next test
        spare = spare_pages.setdefault(repr(sorted(options.items())), [])
        page = spare.pop() if spare else chromium.new_context(base_url=live_server.url, **options).new_page()
        page.on("console", note_message)
        page.on("pageerror", note_error)
        in_use.append((repr(sorted(options.items())), page))
        return page

    yield opened
    for options, page in in_use:
        page.remove_listener("console", note_message)
        page.remove_listener("pageerror", note_error)
        forget_all(page)
        spare_pages[options].append(page)
    assert faults == []


def forget_all(page: Page) -> None:
    """Take off a page what a test has left in it: routes, storage and cookies; it shows nothing then."""
    page.unroute_all()
    if page.url.startswith("http"):
        page.evaluate(
            "localStorage.clear(); sessionStorage.clear(); void indexedDB.deleteDatabase('benchrule')"
        )
    page.goto("about:blank")
    page.context.clear_cookies()


@pytest.fixture
def open_as_owner(
    open_page: Callable[..., Page], live_server: LiveServer, signed_in: Client
) -> Callable[..., Page]:
    """Opens a page with the owner signed in: `open_as_owner(**PHONE)`."""

    def opened(**options: Any) -> Page:
        page = open_page(**options)
        session = signed_in.cookies[settings.SESSION_COOKIE_NAME].value
        page.context.add_cookies(
            [{"name": settings.SESSION_COOKIE_NAME, "value": session, "url": live_server.url}]
        )
        return page

    return opened


@pytest.fixture(params=[PHONE, DESK], ids=["phone", "desk"])
def page(request: pytest.FixtureRequest, open_as_owner: Callable[..., Page]) -> Page:
    """A page with the owner signed in, once the size of a phone and once of a desk."""
    return open_as_owner(**request.param)


@pytest.fixture
def phone(open_as_owner: Callable[..., Page]) -> Page:
    """A page with the owner signed in, the size of a phone."""
    return open_as_owner(**PHONE)
