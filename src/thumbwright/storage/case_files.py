"""Films and photographs of cases: a row in the database for each, its bytes in the folder."""

from datetime import datetime

from sqlalchemy import ColumnElement, Connection, RowMapping, insert, select, update

from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.records import StoredFile, StoreError
from thumbwright.storage.tables import files

KINDS = ("film", "photograph")


class CaseFiles:
    """Films and photographs.

    Parameters
    ----------
    cases
        The cases to which they belong.
    store
        Where the bytes lie.
    """

    def __init__(self, cases: CaseStore, store: FileStore) -> None:
        self._cases = cases
        self.store = store

    def add(self, key: str, kind: str, name: str, media_type: str, data: bytes, who: str) -> None:
        """Keep a file with a case: the bytes first, then the row, so that no row lacks bytes.

        Raises
        ------
        StoreError
            If another file of this name is there, or it could not be written.
        NoSuchCaseError
            If there is no such case.
        """
        self._cases.case(key)
        sha256 = self.store.keep(data)
        with self._cases.database.writing() as connection:
            there = _find(connection, key, name)
            if there is not None and there["removed_at"] is None:
                if there["sha256"] == sha256:
                    return
                msg = (
                    f"another file is called {name} in this case; allowed is each name once; "
                    "rename the new file, or take the old one away first"
                )
                raise StoreError(msg)
            row = {
                "kind": kind,
                "media_type": media_type,
                "sha256": sha256,
                "size_bytes": len(data),
                "added_at": self._cases.moment(),
                "added_by": who,
                "removed_at": None,
            }
            if there is None:
                connection.execute(insert(files).values(case_key=key, name=name, **row))
            else:
                connection.execute(update(files).where(*_is(key, name)).values(**row))

    def of_case(self, key: str, kind: str | None = None) -> tuple[StoredFile, ...]:
        """Return the files of a case by name; those taken away are left out."""
        ask = select(files).where(files.c.case_key == key, files.c.removed_at.is_(None))
        if kind is not None:
            ask = ask.where(files.c.kind == kind)
        with self._cases.database.reading() as connection:
            rows = connection.execute(ask.order_by(files.c.name)).mappings().all()
        return tuple(_record(row) for row in rows)

    def read(self, key: str, name: str) -> tuple[StoredFile, bytes]:
        """Return one file.

        Raises
        ------
        StoreError
            If there is none of this name.
        """
        with self._cases.database.reading() as connection:
            row = _find(connection, key, name)
        if row is None or row["removed_at"] is not None:
            msg = f"no file {name!r} in this case; allowed are those of its list; choose one there"
            raise StoreError(msg)
        return _record(row), self.store.read(row["sha256"])

    def take_away(self, key: str, name: str) -> None:
        """Take a file off the list of the case; the bytes stay, so that it can be added again."""
        self.read(key, name)
        with self._cases.database.writing() as connection:
            connection.execute(
                update(files).where(*_is(key, name)).values(removed_at=self._cases.moment())
            )


def _is(key: str, name: str) -> tuple[ColumnElement[bool], ...]:
    return files.c.case_key == key, files.c.name == name


def _find(connection: Connection, key: str, name: str) -> RowMapping | None:
    return connection.execute(select(files).where(*_is(key, name))).mappings().first()


def _record(row: RowMapping) -> StoredFile:
    return StoredFile(
        name=row["name"],
        kind=row["kind"],
        media_type=row["media_type"],
        sha256=row["sha256"],
        size_bytes=row["size_bytes"],
        added_at=datetime.fromisoformat(row["added_at"]),
        added_by=row["added_by"],
    )
