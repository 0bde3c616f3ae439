"""Where the pages find their style sheet, script and typeface."""

from collections.abc import Iterable, Iterator

from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # it has no annotations
    """Compressed files with a hash in their name once `collectstatic` has run; the plain files before."""

    support_js_module_import_aggregation = True  # modules import each other by those names

    def stored_name(self, name: str) -> str:
        """Return the name that pages link to."""
        return super().stored_name(name) if self.hashed_files else name

    def compress_files(self, paths: Iterable[str]) -> Iterator[tuple[str, str]]:
        """Compress what browsers ask for, once: what has its hash in its name never changes.

        TrueType is for papers alone, which are drawn here.
        """
        linked = set(self.hashed_files.values())
        new = (path for path in paths if path in linked and not self.exists(f"{path}.br"))
        yield from super().compress_files(path for path in new if not path.endswith(".ttf"))
