"""The folder of backups: one a day, thinned as they age, and what the last try of one found."""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from pathlib import Path

from django.conf import settings

from backup.archive import write_backup
from backup.manifest import Manifest
from backup.retention import days_to_keep

TOO_OLD = timedelta(days=2)


@dataclass(frozen=True)
class KeptBackup:
    """A backup in the folder: the day it is of, and its file."""

    day: date
    file: Path

    @property
    def size_mb(self) -> float:
        """Its size in megabytes of a million bytes."""
        return self.file.stat().st_size / 1e6


@dataclass(frozen=True)
class Tried:
    """The last time that a backup was brought back to try it: when, which, what was found."""

    at: datetime
    file: str
    faults: tuple[str, ...]


def backups() -> list[KeptBackup]:
    """Return the backups in the folder, newest first."""
    kept = []
    for file in settings.BACKUPS_DIR.glob("benchrule-*.backup"):
        try:
            kept.append(KeptBackup(date.fromisoformat(file.stem.removeprefix("benchrule-")[:10]), file))
        except ValueError:
            continue  # somebody else's file
    return sorted(kept, key=lambda backup: (backup.day, backup.file.stat().st_mtime), reverse=True)


def back_up_today(at: datetime, today: date) -> tuple[Path, Manifest]:
    """Write today's backup into the folder in place of an earlier one of today, and thin the others.

    Raises CannotBackUp and CannotCopy.
    """
    settings.BACKUPS_DIR.mkdir(mode=0o700, parents=True, exist_ok=True)
    file = settings.BACKUPS_DIR / f"benchrule-{today.isoformat()}.backup"
    draft = file.with_suffix(".new")
    draft.unlink(missing_ok=True)
    manifest = write_backup(draft, settings.DATA_DIR, at, passphrase())
    draft.replace(file)
    kept = backups()
    keep = days_to_keep(backup.day for backup in kept)
    for backup in kept:
        if backup.day not in keep:
            backup.file.unlink()
    return file, manifest


def passphrase() -> str:
    """Return the passphrase that nightly backups are encrypted with; empty for none."""
    file = settings.BACKUP_PASSPHRASE_FILE
    return Path(file).read_text("utf-8").strip() if file else ""


def note_tried(tried: Tried) -> None:
    """Keep what the last try found, beside the backups."""
    facts = {"at": tried.at.isoformat(), "file": tried.file, "faults": list(tried.faults)}
    path = settings.BACKUPS_DIR / "tried.json"
    draft = path.with_suffix(".new")
    draft.write_text(json.dumps(facts, indent=2))
    draft.replace(path)


def last_tried() -> Tried | None:
    """Return what the last try found; None where none was made."""
    try:
        facts: Mapping[str, str] = json.loads((settings.BACKUPS_DIR / "tried.json").read_text())
        return Tried(datetime.fromisoformat(facts["at"]), facts["file"], tuple(facts["faults"]))
    except (OSError, ValueError, KeyError):
        return None


def caution(now: datetime) -> str:
    """Return what is wrong with the backups in a plain sentence; empty where all is well."""
    kept = backups()
    if not kept:
        return "There is no backup yet: what is lost with this machine is lost for good."
    made_at = datetime.fromtimestamp(kept[0].file.stat().st_mtime, now.tzinfo)
    if now - made_at > TOO_OLD:
        return f"The newest backup is {(now - made_at).days} days old. It should be made every night."
    tried = last_tried()
    if tried and tried.faults:
        return f"The backup {tried.file} doesn't hold: {tried.faults[0]}"
    return ""
