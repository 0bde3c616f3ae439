"""Writing everything that the site keeps into one file, and reading it back whole or not at all."""

import io
import os
import shutil
import tarfile
import tempfile
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from hashlib import file_digest, sha256
from pathlib import Path, PurePosixPath
from typing import IO

from django.db import connection
from pyrage import DecryptError, passphrase

from backup.database_copy import (
    POSTGRES_NAME,
    bring_back_postgres,
    copy_database,
    engine_version,
    newest_migrations,
)
from backup.manifest import Manifest, Member, UnreadableBackup, read_manifest

MANIFEST = "manifest.json"
AGE_BEGINS = b"age-encryption.org/"
NOT_WHOLE = "This backup isn't whole: {}. Nothing was brought back; take another one."


class CannotBackUp(RuntimeError):
    """The backup couldn't be written; the message says why and what to do."""


def write_backup(file: Path, data: Path, at: datetime, secret: str = "") -> Manifest:
    """Write a backup of the database and of the data folder to a new file; whole or not at all.

    With a secret it is encrypted, in memory. What the data folder holds beside the database goes in but for
    backups and what can be made anew. Raises CannotBackUp and CannotCopy.
    """
    if file.exists():
        raise CannotBackUp(f"{file} is there already. Name another file.")
    with tempfile.TemporaryDirectory(dir=file.parent, prefix=".backup-") as folder:
        copy, rows = copy_database(Path(folder))
        members = {copy.name: copy, **dict(_kept_files(data))}
        manifest = Manifest(
            made_at=at,
            engine=connection.vendor,
            engine_version=engine_version(),
            migrations=newest_migrations(),
            rows=rows,
            members={name: _member(path) for name, path in members.items()},
        )
        draft = Path(folder, "draft")
        with tarfile.open(draft, "w:gz", compresslevel=6) as tar:
            _add(tar, MANIFEST, manifest.to_json().encode())
            for name, path in members.items():
                tar.add(path, name)
        if secret:
            draft.write_bytes(passphrase.encrypt(draft.read_bytes(), secret))
        draft.chmod(0o600)
        with open(draft, "rb") as written:
            os.fsync(written.fileno())
        os.link(draft, file)  # fails where another made it meanwhile
    return manifest


def unpack(file: Path, folder: Path, secret: str = "") -> Manifest:
    """Unpack a backup into an empty folder, each file checked against its SHA-256.

    Nothing appears in the folder unless everything is whole. Raises UnreadableBackup.
    """
    if folder.exists() and any(folder.iterdir()):
        raise UnreadableBackup(f"{folder} isn't empty. Name a folder that isn't there yet.")
    folder.parent.mkdir(parents=True, exist_ok=True)
    draft = Path(tempfile.mkdtemp(dir=folder.parent, prefix=".restore-"))
    try:
        manifest = _unpack_checked(file, draft, secret)
        draft.replace(folder)  # an empty folder may be there
    finally:
        shutil.rmtree(draft, ignore_errors=True)
    return manifest


def restore(file: Path, folder: Path, secret: str = "") -> Manifest:
    """Bring a backup back: its files into an empty folder, and PostgreSQL's rows into an empty database.

    Raises UnreadableBackup and CannotCopy.
    """
    manifest = unpack(file, folder, secret)
    if manifest.engine == "postgresql":
        dump = folder / POSTGRES_NAME
        bring_back_postgres(dump)
        dump.unlink()
    return manifest


def _unpack_checked(file: Path, folder: Path, secret: str) -> Manifest:
    try:
        with _opened(file, secret) as opened, tarfile.open(fileobj=opened, mode="r:gz") as tar:
            first = tar.next()
            content = tar.extractfile(first) if first and first.name == MANIFEST else None
            if content is None:
                raise UnreadableBackup("This file is no backup of Benchrule.")
            manifest = read_manifest(content.read())
            for entry in tar:
                content = tar.extractfile(entry) if entry.name in manifest.members else None
                if content and _stays_inside(entry.name):
                    _write(content, folder / entry.name)
    except (tarfile.TarError, EOFError, OSError, zlib.error) as error:
        raise UnreadableBackup(NOT_WHOLE.format(f"{error}".rstrip("."))) from error
    for name, member in manifest.members.items():
        path = folder / name
        if not path.is_file() or _member(path) != member:
            raise UnreadableBackup(NOT_WHOLE.format(f"{name} isn't what was put in"))
    return manifest


def _stays_inside(name: str) -> bool:
    """Tell whether a name leads to a place in the folder that it is unpacked into."""
    path = PurePosixPath(name)
    return not path.is_absolute() and ".." not in path.parts


def _write(content: IO[bytes], path: Path) -> None:
    """Write a file that its owner alone reads."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with open(os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as file:
        shutil.copyfileobj(content, file)


@contextmanager
def _opened(file: Path, secret: str) -> Iterator[IO[bytes]]:
    """Open a backup, decrypted where it is encrypted. Raises UnreadableBackup."""
    with open(file, "rb") as opened:
        is_encrypted = opened.read(len(AGE_BEGINS)) == AGE_BEGINS
        opened.seek(0)
        yield io.BytesIO(_decrypted(opened.read(), secret)) if is_encrypted else opened


def _decrypted(content: bytes, secret: str) -> bytes:
    if not secret:
        raise UnreadableBackup("This backup is encrypted. Give its passphrase.")
    try:
        return bytes(passphrase.decrypt(content, secret))
    except DecryptError as error:
        raise UnreadableBackup(
            "This backup doesn't open: the passphrase is another one, or the file isn't whole."
        ) from error


def _kept_files(data: Path) -> Iterator[tuple[str, Path]]:
    """Yield name and path of what goes in beside the database: the secret key, mail, files."""
    for path in sorted((data / "secret_key", *data.glob("mail/*"), *data.glob("files/**/*"))):
        if path.is_file():
            yield f"{path.relative_to(data)}", path


def _member(path: Path) -> Member:
    with open(path, "rb") as file:
        return Member(path.stat().st_size, file_digest(file, sha256).hexdigest())


def _add(tar: tarfile.TarFile, name: str, content: bytes) -> None:
    info = tarfile.TarInfo(name)
    info.size = len(content)
    tar.addfile(info, io.BytesIO(content))
