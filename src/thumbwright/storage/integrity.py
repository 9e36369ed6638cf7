"""Whether everything that was recorded is still there and unaltered."""

from collections.abc import Iterator

from sqlalchemy import select

from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.documents import replayed
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.records import StoreError
from thumbwright.storage.tables import cases, files, papers


def troubles(store: CaseStore, kept: FileStore, *, read_files: bool) -> tuple[str, ...]:
    """Return in words what is wrong; nothing if all is well.

    Parameters
    ----------
    store, kept
        Cases and files.
    read_files
        Whether every file is read and held against its hash, or only looked for.
    """
    return (*_of_pages(store), *_of_histories(store), *_of_files(store, kept, read_files))


def _of_pages(store: CaseStore) -> Iterator[str]:
    with store.database.reading() as connection:
        for row in connection.exec_driver_sql("PRAGMA integrity_check"):
            if row[0] != "ok":
                yield f"the database file is damaged: {row[0]}"
        for row in connection.exec_driver_sql("PRAGMA foreign_key_check"):
            yield f"a row of the table {row[0]} belongs to no case"


def _of_histories(store: CaseStore) -> Iterator[str]:
    with store.database.reading() as connection:
        keys = connection.execute(select(cases.c.key)).scalars().all()
    for key in keys:
        stored, history = store.case(key), store.history(key)
        if [change.number for change in history] != list(range(1, stored.version + 1)):
            yield f"case {stored.row.name}: changes are missing from its history"
        elif replayed(history) != stored.parts:
            yield f"case {stored.row.name}: its facts are not what its history adds up to"


def _of_files(store: CaseStore, kept: FileStore, read_files: bool) -> Iterator[str]:
    with store.database.reading() as connection:
        wanted = {
            *connection.execute(select(files.c.sha256)).scalars(),
            *connection.execute(select(papers.c.pdf_sha256)).scalars(),
            *connection.execute(select(papers.c.json_sha256)).scalars(),
        }
    for name in sorted(wanted):
        try:
            if read_files:
                kept.read(name)
            elif not kept.place(name).is_file():
                yield f"the file {name[:12]} is missing from the folder of files"
        except StoreError as fault:
            yield str(fault)
