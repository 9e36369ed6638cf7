"""Putting a copy back: what it holds, what would be lost, and the exchange itself."""

import json
import shutil
import sqlite3
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from urllib.parse import quote

from thumbwright.core.foundations.answer import Unknown
from thumbwright.storage.backup import (
    DATABASE,
    PROOF,
    Backup,
    back_up,
    backups,
    finish_put_back,
    prove,
    put_back,
)
from thumbwright.storage.case_store import Named
from thumbwright.storage.database import Database
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.records import StoreError

Clock = Callable[[], datetime]
_CHANGES = "SELECT case_key, number, made_at FROM changes"
_FILES = "SELECT case_key, name, sha256 FROM files WHERE removed_at IS NULL"
_PAPERS = "SELECT case_key, number, pdf_sha256 FROM papers"
_NAMES = "SELECT key, name FROM cases"


@dataclass(frozen=True, slots=True, kw_only=True)
class Description:
    """What a copy holds."""

    backup: Backup
    size_bytes: int
    case_count: int | Unknown
    proved_at: datetime | None
    """When it was last read back whole; None if it never was."""

    @property
    def name(self) -> str:
        """Return the name by which it is chosen."""
        return self.backup.folder.name


@dataclass(frozen=True, slots=True, kw_only=True)
class Restored:
    """What came of putting a copy back."""

    before: Backup | None
    """Copy of what was there; None if none could be made."""
    aside: Path | None
    """Where the old store lies, if there is no whole copy of it."""


def describe(backup: Backup) -> Description:
    """Return what a copy holds, without checking it."""
    places = (place for place in backup.folder.rglob("*") if place.is_file())
    return Description(
        backup=backup,
        size_bytes=sum(place.stat().st_size for place in places),
        case_count=_case_count(backup),
        proved_at=_proved_at(backup),
    )


def backup_named(into: Path, name: str) -> Backup:
    """Return the copy of a name.

    Raises
    ------
    StoreError
        If there is none.
    """
    found = [backup for backup in backups(into) if backup.folder.name == name]
    if not found:
        msg = f"no copy is called {name[:60]!r}; allowed are those of the list; choose one there"
        raise StoreError(msg)
    return found[0]


def demand_proof(backup: Backup, named: Named, now: Clock) -> None:
    """Read a copy back and note that it is whole.

    Raises
    ------
    StoreError
        If it does not hold.
    """
    wrong = prove(backup, named, now)
    place = backup.folder / PROOF
    if wrong:
        place.unlink(missing_ok=True)
        msg = (
            f"the copy {backup.folder.name} does not hold: {'; '.join(wrong)}; allowed are copies "
            "that can be read back whole; take another one"
        )
        raise StoreError(msg)
    place.write_text(json.dumps({"proved_at": now().isoformat()}) + "\n", "utf-8")


def losses(backup: Backup, database: Database) -> tuple[str, ...]:
    """Return in words what was recorded since a copy and would be lost by putting it back."""
    with closing(_opened(backup)) as copy:
        names = dict(copy.execute(_NAMES).fetchall())
        then = {ask: set(copy.execute(ask).fetchall()) for ask in (_CHANGES, _FILES, _PAPERS)}
    with database.reading() as connection:

        def asked(ask: str) -> list[tuple[object, ...]]:
            return [tuple(row) for row in connection.exec_driver_sql(ask)]

        there = {str(key): str(name) for key, name in asked(_NAMES)}
        gone = {ask: [row for row in asked(ask) if row not in then[ask]] for ask in then}
    words = []
    for key, name in there.items():
        counts = [
            _counted(sum(row[0] == key for row in gone[ask]), what)
            for ask, what in ((_CHANGES, "change"), (_FILES, "file"), (_PAPERS, "issued paper"))
        ]
        some = ", ".join(filter(None, counts))
        if key not in names:
            words.append(f"{name}: the whole case{f' ({some})' if some else ''}")
        elif some:
            words.append(f"{name}: {some}")
    return tuple(words)


def restore(
    backup: Backup, database: Database | None, folder: Path, named: Named, now: Clock
) -> Restored:
    """Put a copy in the place of a store; what is there now is copied before.

    Parameters
    ----------
    backup
        The copy.
    database
        The database of the store, in use by nobody; None if it cannot be opened.
    folder
        Folder that holds the store and its copies.
    named, now
        How a case is called in the list; the clock.

    Raises
    ------
    StoreError
        If the copy does not hold or could not be written; then all is as it was.
    """
    demand_proof(backup, named, now)
    store = folder / "store"
    before = _copy_before(database, store, folder / "backups", named, now)
    if database is not None:
        database.close()
    try:
        aside = put_back(backup, store)
    finally:
        finish_put_back(store)
        if database is not None:
            database.open()
    if before is not None and aside is not None:
        shutil.rmtree(aside, ignore_errors=True)
        aside = None
    return Restored(before=before, aside=aside)


def _copy_before(
    database: Database | None, store: Path, into: Path, named: Named, now: Clock
) -> Backup | None:
    """Copy what is there; where that fails, the old store itself is kept aside."""
    if database is None:
        return None
    try:
        before = back_up(database, FileStore(store / "files"), into, now())
        demand_proof(before, named, now)
    except StoreError:
        return None
    return before


def _case_count(backup: Backup) -> int | Unknown:
    try:
        with closing(_opened(backup)) as copy:
            return int(copy.execute("SELECT count(*) FROM cases").fetchone()[0])
    except (sqlite3.Error, StoreError) as fault:
        return Unknown(reason=f"its database cannot be read ({fault})", needed=("another copy",))


def _proved_at(backup: Backup) -> datetime | None:
    try:
        note = json.loads((backup.folder / PROOF).read_text("utf-8"))
        return datetime.fromisoformat(note["proved_at"])
    except (OSError, ValueError, KeyError, TypeError):
        return None


def _opened(backup: Backup) -> sqlite3.Connection:
    """Open the database of a copy so that nothing is written beside it."""
    place = quote(str((backup.folder / DATABASE).absolute()))
    try:
        return sqlite3.connect(f"file:{place}?mode=ro&immutable=1", uri=True)
    except sqlite3.Error as fault:
        msg = (
            f"the copy {backup.folder.name} cannot be opened ({fault}); allowed are copies that "
            "can be read back whole; take another one"
        )
        raise StoreError(msg) from fault


def _counted(number: int, what: str) -> str:
    if not number:
        return ""
    return f"1 {what}" if number == 1 else f"{number} {what}s"
