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
from itertools import count
from pathlib import Path

from thumbwright.storage.case_store import CaseStore, Named
from thumbwright.storage.database import Database
from thumbwright.storage.file_store import HALF_SUFFIX, FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.records import StoreError
from thumbwright.storage.unit_papers import FOLDER as UNIT

DATABASE, FILES, NOTE, PROOF = "cases.db", "files", "backup.json", "proved.json"
_OF_THE_COPY = shutil.ignore_patterns(NOTE, f"{PROOF}*", ".proof.db*")
"""What belongs to a copy and not to the store."""


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
        file_count = _copy_files(kept, half / FILES, _newest(into))
        _copy_unit(database.place.parent / UNIT, half / UNIT)
        note = {
            "made_at": now.isoformat(),
            "database_sha256": sha256((half / DATABASE).read_bytes()).hexdigest(),
            "file_count": file_count,
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
    places = (place for place in sorted(found, reverse=True) if place.name[0] != ".")
    return tuple(backup for place in places if (backup := _noted(place)) is not None)


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


def put_back(backup: Backup, folder: Path) -> Path | None:
    """Put a copy in the place of a store that is not in use; what was there is kept aside.

    A program that is killed meanwhile leaves the old store or the new one, once
    :func:`finish_put_back` was called at the next start.

    Parameters
    ----------
    backup
        The copy.
    folder
        Folder of the store: its database, its files, and what else lies there, which stays.

    Returns
    -------
    Path or None
        Where the store lies that was there; None if there was none.

    Raises
    ------
    StoreError
        If it could not be written; then the old store is in its place.
    """
    half, ready, aside = _half(folder), _ready(folder), _aside(backup, folder)
    there = folder.exists()
    try:
        for left in (half, ready):
            shutil.rmtree(left, ignore_errors=True)
        shutil.copytree(backup.folder, half, ignore=_OF_THE_COPY)
        _carry_over(folder, half)
        _settle_all()
        half.rename(ready)
        if there:
            folder.rename(aside)
        ready.rename(folder)
    except OSError as fault:
        if there and aside.exists() and not folder.exists():
            aside.rename(folder)
        for left in (half, ready):
            shutil.rmtree(left, ignore_errors=True)
        msg = (
            f"the backup {backup.folder.name} could not be put back "
            f"({fault.strerror or fault}); allowed is "
            "a folder with room that may be written to; what was there is there still"
        )
        raise StoreError(msg) from fault
    return aside if there else None


def finish_put_back(folder: Path) -> None:
    """Finish or undo what a program left that was killed while it put a copy back."""
    half, ready = _half(folder), _ready(folder)
    if ready.exists() and not folder.exists():
        ready.rename(folder)
    for left in (half, ready):
        shutil.rmtree(left, ignore_errors=True)


def _half(folder: Path) -> Path:
    return folder.with_name(f".{folder.name}.half")


def _ready(folder: Path) -> Path:
    return folder.with_name(f".{folder.name}.ready")


def _aside(backup: Backup, folder: Path) -> Path:
    stem = f"{folder.name}-before-{backup.folder.name}"
    names = (stem if at == 1 else f"{stem}-{at}" for at in count(1))
    return next(place for place in map(folder.with_name, names) if not place.exists())


def _carry_over(folder: Path, fresh: Path) -> None:
    """Keep what is no part of a copy, such as the secret of the unit."""
    for place in folder.glob("*"):
        if place.is_file() and not place.name.startswith(DATABASE):
            shutil.copy2(place, fresh / place.name)
    # What the unit says of itself belongs to no case, so it is never set back with the cases.
    _copy_unit(folder / UNIT, fresh / UNIT)


def _copy_unit(source: Path, target: Path) -> None:
    if source.is_dir():
        halves = shutil.ignore_patterns(f"*{HALF_SUFFIX}")
        shutil.copytree(source, target, ignore=halves, dirs_exist_ok=True)


def _settle_all() -> None:
    if hasattr(os, "sync"):
        os.sync()


def _copy_files(kept: FileStore, into: Path, last: Path | None) -> int:
    """Copy each file, or share the bytes with the last backup where the disk can do that."""
    total = 0
    into.mkdir()
    for name in kept.names():
        source, target = kept.place(name), into / name[:2] / name
        target.parent.mkdir(exist_ok=True)
        earlier = last / FILES / name[:2] / name if last else None
        if earlier is None or not _shared(earlier, target):
            shutil.copyfile(source, target)
        total += 1
    return total


def _shared(earlier: Path, target: Path) -> bool:
    try:
        os.link(earlier, target)
    except OSError:
        return False
    return True


def _newest(into: Path) -> Path | None:
    found = backups(into)
    return found[0].folder if found else None


def _noted(folder: Path) -> Backup | None:
    """Return a copy; one whose note is damaged can be neither proved nor put back, and is none."""
    try:
        return _read(folder)
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _read(folder: Path) -> Backup:
    note = json.loads((folder / NOTE).read_text("utf-8"))
    return Backup(
        folder=folder,
        made_at=datetime.fromisoformat(note["made_at"]),
        database_sha256=note["database_sha256"],
        file_count=note["file_count"],
    )
