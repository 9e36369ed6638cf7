"""Connection and transaction, in one way only: SQLite in write-ahead mode, checked at start."""

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from sqlite3 import Connection as RawConnection
from typing import Any

from alembic import command
from alembic.config import Config
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from alembic.util import CommandError
from sqlalchemy import Connection, Engine, create_engine, event
from sqlalchemy.exc import DatabaseError, OperationalError

from thumbwright.storage.records import StoreError

WAIT_MS = 10_000
"""How long a writer waits for another before it gives up."""
_SCRIPTS = Path(__file__).parent / "migrations"


class Database:
    """One database file and its transactions.

    Parameters
    ----------
    place
        The file; made, and brought to the newest schema, if need be.

    Raises
    ------
    StoreError
        If the file is no sound database, or a newer program wrote it.
    """

    def __init__(self, place: Path) -> None:
        self.place = place
        self.open()

    def open(self) -> None:
        """Open the file, also when another one has taken its place since it was closed.

        Raises
        ------
        StoreError
            As for the whole class.
        """
        place = self.place
        self.engine = _engine(place)
        try:
            _migrate(self.engine)
        except DatabaseError as fault:
            self.engine.dispose()
            msg = (
                f"{place} cannot be used as the database ({fault.orig}); allowed is a database "
                "that this program made and may write to; restore the last backup, or see to its "
                "permissions"
            )
            raise StoreError(msg) from fault

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """Give a connection on which everything read belongs together."""
        with _said(self.place), self.engine.begin() as connection:
            yield connection

    @contextmanager
    def writing(self) -> Iterator[Connection]:
        """Give the one connection that may write; all of it is kept, or nothing."""
        with (
            _said(self.place),
            self.engine.connect().execution_options(writes=True) as connection,
            connection.begin(),
        ):
            yield connection

    def close(self) -> None:
        """Let go of the file."""
        self.engine.dispose()


@contextmanager
def _said(place: Path) -> Iterator[None]:
    try:
        yield
    except OperationalError as fault:
        msg = (
            f"{place} could not be written or read ({fault.orig}); nothing of this change was "
            "kept; see to room on the disk and permissions, and try again"
        )
        raise StoreError(msg) from fault


def _engine(place: Path) -> Engine:
    place.parent.mkdir(parents=True, exist_ok=True)
    engine = create_engine(f"sqlite:///{place}", pool_size=10, max_overflow=30)

    @event.listens_for(engine, "connect")
    def _connected(raw: RawConnection, _: object) -> None:
        # The driver's own transactions start late and would let two writers read the same state.
        raw.isolation_level = None
        for pragma in (
            "journal_mode = WAL",
            # FULL: a fact that was confirmed on the screen outlives a power cut as well.
            "synchronous = FULL",
            "foreign_keys = ON",
            f"busy_timeout = {WAIT_MS}",
        ):
            raw.execute(f"PRAGMA {pragma}")

    @event.listens_for(engine, "begin")
    def _begun(connection: Connection) -> None:
        writes = connection.get_execution_options().get("writes", False)
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")

    return engine


def _migrate(engine: Engine) -> None:
    config = Config()
    config.set_main_option("script_location", str(_SCRIPTS).replace("%", "%%"))
    known = ScriptDirectory.from_config(config)
    with engine.connect().execution_options(writes=True) as connection, connection.begin():
        there = MigrationContext.configure(connection).get_current_revision()
        if there == known.get_current_head():
            return
        try:
            known.get_revision(there or "base")
        except CommandError as fault:
            msg = (
                f"{engine.url.database} was written by a newer program (schema {there}); allowed "
                f"are schemas up to {known.get_current_head()}; start the newer program"
            )
            raise StoreError(msg) from fault
        config.attributes["connection"] = connection
        command.upgrade(config, "head")


def schema_version(connection: Connection) -> str:
    """Return the revision of the schema that a database has."""
    found: Any = MigrationContext.configure(connection).get_current_revision()
    return str(found)
