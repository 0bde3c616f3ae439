"""The files that a phone keeps so that the page for on site opens without signal, and their version."""

from collections.abc import Iterable
from functools import lru_cache
from hashlib import sha256
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles import finders
from django.templatetags.static import static

APART = {"worker.js", "everywhere.js"}  # not of this page
STYLES = ("benchrule.css", "phone/phone.css")
VENDOR = "vendor/idb/idb.js"
ICONS = ("icon.svg", "phone/icon-192.png", "phone/icon-512.png")
FONTS = ("vendor/inter/inter-latin-400.woff2", "vendor/inter/inter-latin-700.woff2")


def modules() -> tuple[str, ...]:
    """Return our own scripts, which the page's first one imports."""
    folder = Path(settings.BASE_DIR) / "static" / "phone"
    return tuple(f"phone/{path.name}" for path in sorted(folder.glob("*.js")) if path.name not in APART)


def kept_addresses() -> list[str]:
    """Return what the phone keeps, without the page itself."""
    return [static(name) for name in (*STYLES, *FONTS, *ICONS, *modules(), VENDOR)]


def worker_script() -> str:
    """Return the script that shows kept pages without signal."""
    path = finders.find("phone/worker.js")
    assert isinstance(path, str)
    return Path(path).read_text()


@lru_cache(maxsize=4)
def version(page: str) -> str:
    """Return a name for these files as they are now: it changes with any of them and with the page."""
    digest = sha256(page.encode())
    for content in _contents((*STYLES, *FONTS, *ICONS, *modules(), VENDOR)):
        digest.update(content)
    return digest.hexdigest()[:16]


def _contents(names: Iterable[str]) -> Iterable[bytes]:
    for name in names:
        path = finders.find(name)
        assert isinstance(path, str)
        yield Path(path).read_bytes()
