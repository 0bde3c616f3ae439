"""Where the pages find their style sheet, script and typeface."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(CompressedManifestStaticFilesStorage):  # type: ignore[misc]  # it has no annotations
    """Compressed files with a hash in their name once `collectstatic` has run; the plain files before."""

    support_js_module_import_aggregation = True  # modules import each other by those names

    def stored_name(self, name: str) -> str:
        """Return the name that pages link to."""
        return super().stored_name(name) if self.hashed_files else name
