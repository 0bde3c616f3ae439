"""Where the pages find their style sheet, script and typeface."""

from whitenoise.storage import CompressedManifestStaticFilesStorage


class CollectedFiles(CompressedManifestStaticFilesStorage):
    """Compressed files with a hash in their name once `collectstatic` has run, the plain ones before."""

    def stored_name(self, name: str) -> str:
        """The name that pages link to."""
        return super().stored_name(name) if self.hashed_files else name
