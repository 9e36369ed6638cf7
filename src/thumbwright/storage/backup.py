"""Copies of the whole store that can be proved and put back."""

import json
import os
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path

from thumbwright.storage.case_store import CaseStore, Named
from thumbwright.storage.database import Database
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.records import StoreError

DATABASE, FILES, NOTE = "cases.db", "files", "backup.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Backup:
    """One copy of everything."""

    folder: Path
    made_at: datetime
    database_sha256: str
    file_count: int


def back_up(database: Database, kept: FileStore, into: Path, now: datetime) -> Backup:
    """Copy database and files while others go on writing.

    The database is copied by SQLite's online backup, then every file that is kept; files are
    only ever added, so that none of the copied rows lacks its bytes.

    Parameters
    ----------
    database, kept
        What is copied.
    into
        Folder that holds the copies; each lies in a folder named for its time.

    Raises
    ------
    StoreError
        If it could not be written; then no copy of this name is left.
    """
    name = now.strftime("%Y-%m-%dT%H-%M-%S-%f")
    half, whole = into / f".{name}.half", into / name
    try:
        half.mkdir(parents=True)
        with (
            closing(sqlite3.connect(database.place)) as source,
            closing(sqlite3.connect(half / DATABASE)) as target,
        ):
            source.backup(target)
        count = _copy_files(kept, half / FILES, _newest(into))
        note = {
            "made_at": now.isoformat(),
            "database_sha256": sha256((half / DATABASE).read_bytes()).hexdigest(),
            "file_count": count,
        }
        (half / NOTE).write_text(json.dumps(note, indent=1) + "\n", "utf-8")
        half.rename(whole)
    except (OSError, sqlite3.Error) as fault:
        shutil.rmtree(half, ignore_errors=True)
        msg = (
            f"no backup could be made in {into} ({fault}); allowed is a folder with room that may "
            "be written to; see to it, and make the backup again"
        )
        raise StoreError(msg) from fault
    return _read(whole)


def backups(into: Path) -> tuple[Backup, ...]:
    """Return the copies in a folder, the newest first; half ones are left out."""
    found = [place for place in into.glob("*") if (place / NOTE).is_file()] if into.exists() else []
    return tuple(_read(place) for place in sorted(found, reverse=True) if place.name[0] != ".")


def prove(backup: Backup, named: Named, now: Callable[[], datetime]) -> tuple[str, ...]:
    """Open a copy and check everything in it, without touching the store in use.

    Returns
    -------
    tuple
        What is wrong, in words; nothing if it can be put back.
    """
    data = (backup.folder / DATABASE).read_bytes()
    if sha256(data).hexdigest() != backup.database_sha256:
        return (f"the database of the backup {backup.folder.name} has changed since it was made",)
    place = backup.folder / ".proof.db"
    place.write_bytes(data)
    try:
        database = Database(place)
        try:
            kept = FileStore(backup.folder / FILES)
            return troubles(CaseStore(database, now, named), kept, read_files=True)
        finally:
            database.close()
    except StoreError as fault:
        return (str(fault),)
    finally:
        for left in backup.folder.glob(".proof.db*"):
            left.unlink(missing_ok=True)


def put_back(backup: Backup, folder: Path) -> None:
    """Put a copy in the place of a store that is not in use; what was there is kept aside.

    Parameters
    ----------
    backup
        The copy.
    folder
        Folder of the store: its database and its files.

    Raises
    ------
    StoreError
        If it could not be written.
    """
    aside = folder.with_name(f"{folder.name}-before-{backup.folder.name}")
    fresh = folder.with_name(f".{folder.name}.half")
    try:
        shutil.rmtree(fresh, ignore_errors=True)
        shutil.copytree(backup.folder, fresh, ignore=shutil.ignore_patterns(NOTE))
        if folder.exists():
            folder.rename(aside)
        fresh.rename(folder)
    except OSError as fault:
        msg = (
            f"the backup {backup.folder.name} could not be put back ({fault.strerror}); allowed is "
            f"a folder that may be written to; what was there lies in {aside} if not in {folder}"
        )
        raise StoreError(msg) from fault


def _copy_files(kept: FileStore, into: Path, last: Path | None) -> int:
    """Copy each file, or share the bytes with the last backup where the disk can do that."""
    count = 0
    into.mkdir()
    for name in kept.names():
        source, target = kept.place(name), into / name[:2] / name
        target.parent.mkdir(exist_ok=True)
        earlier = last / FILES / name[:2] / name if last else None
        if earlier is None or not _shared(earlier, target):
            shutil.copyfile(source, target)
        count += 1
    return count


def _shared(earlier: Path, target: Path) -> bool:
    try:
        os.link(earlier, target)
    except OSError:
        return False
    return True


def _newest(into: Path) -> Path | None:
    found = backups(into)
    return found[0].folder if found else None


def _read(folder: Path) -> Backup:
    note = json.loads((folder / NOTE).read_text("utf-8"))
    return Backup(
        folder=folder,
        made_at=datetime.fromisoformat(note["made_at"]),
        database_sha256=note["database_sha256"],
        file_count=note["file_count"],
    )
