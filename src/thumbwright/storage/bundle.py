"""A whole case as one zip file with nothing lost: drawn up, and put into another store."""

import json
from collections.abc import Mapping
from hashlib import sha256
from io import BytesIO
from typing import Any
from zipfile import ZIP_DEFLATED, ZIP_STORED, ZipFile, ZipInfo
from zlib import DEFLATED, MAX_WBITS, Z_DEFAULT_COMPRESSION, compressobj

from sqlalchemy import Connection, RowMapping, Table, insert, select

from thumbwright import __version__
from thumbwright.storage import tables
from thumbwright.storage.bundle_check import (
    LARGEST_BYTES,
    LARGEST_RATIO,
    RATIO_FROM_BYTES,
    checked,
    member_bytes,
    unpacked,
    within_limits,
)
from thumbwright.storage.bundle_lines import (
    CHANGES,
    FILES,
    FORMAT,
    HEAD,
    PAPERS,
    BundleError,
    Content,
    file_member,
    part_member,
    refused,
)
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.documents import as_text
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.records import Part, StoredCase

__all__ = ["FORMAT", "LARGEST_BYTES", "BundleError", "read_bundle", "write_bundle"]

_DAY = (1980, 1, 1, 0, 0, 0)
"""Time of every member: the first that a zip file can hold, so that bytes depend on no clock."""
_UNIX, _READABLE = 3, 0o100644 << 16
_JSON_COLUMNS = ("path", "before", "after")


def write_bundle(cases: CaseStore, kept: FileStore, key: str) -> bytes:
    """Write a case with its history, files and papers; the same case gives the same bytes.

    Parameters
    ----------
    cases, kept
        Where the case and its files lie.
    key
        Key of the case.

    Raises
    ------
    BundleError
        If the case could not be read back from its bundle.
    StoreError
        If bytes of a file are missing or have changed.
    NoSuchCaseError
        If there is no such case.
    """
    case, texts, wanted = _drawn(cases, kept, key)
    sizes = {file_member(name): (name, len(kept.read(name))) for name in wanted}
    sizes |= {name: (sha256(text).hexdigest(), len(text)) for name, text in texts.items()}
    within_limits([size for _, size in sizes.values()])
    head = _head(case, sizes)
    checked(head, texts)
    out = BytesIO()
    with ZipFile(out, "w") as archive:
        for name in sorted([HEAD, *sizes]):
            if name == HEAD:
                data = head
            else:
                data = texts[name] if name in texts else kept.read(sizes[name][0])
            _add(archive, name, data)
    return out.getvalue()


def read_bundle(data: bytes, cases: CaseStore, kept: FileStore, who: str) -> StoredCase:
    """Put the case of a bundle into a store, after everything in it was held against its hash.

    No change is added to the history, so that the bundle of the new case has the same bytes.

    Parameters
    ----------
    data
        The zip file.
    cases, kept
        Where the case goes. It stays untouched if the bundle is refused.
    who
        Who takes the case in. Somebody must be named; the history stays as it was.

    Returns
    -------
    StoredCase
        The new case, or the one that is there if its history is the same.

    Raises
    ------
    BundleError
        If anything is wrong with the bundle, or another case of its key is there.
    StoreError
        If it could not be written.
    """
    if not who.strip():
        raise refused(
            "a bundle was to be taken in by nobody", "a name by which the unit knows you", "give it"
        )
    with unpacked(data) as (archive, content):
        with cases.database.reading() as connection:
            if _is_there(connection, content):
                return cases.case(content.head.case_key)
        for name in sorted(content.wanted()):
            # Bytes that were there already are read too: they may have changed on the disk.
            kept.read(kept.keep(member_bytes(archive, file_member(name))))
    with cases.database.writing() as connection:
        if not _is_there(connection, content):
            _put(connection, cases, content)
    return cases.case(content.head.case_key)


def _drawn(
    cases: CaseStore, kept: FileStore, key: str
) -> tuple[RowMapping, dict[str, bytes], set[str]]:
    """Return the row of a case, the texts of its bundle, and the hashes of its files."""
    cases.case(key)
    with cases.database.reading() as connection:
        ask = select(tables.cases).where(tables.cases.c.key == key)
        case = connection.execute(ask).mappings().one()
        changes = _changes(connection, key)
        files = _rows(connection, tables.files, key, "name")
        papers = _rows(connection, tables.papers, key, "number")
        parts = _rows(connection, tables.parts, key, "part")
    files = [
        row for row in files if row["removed_at"] is None or kept.place(row["sha256"]).is_file()
    ]
    texts = {CHANGES: _lines(changes), FILES: _lines(files), PAPERS: _lines(papers)}
    for row in parts:
        texts[part_member(row["part"])] = _lines([json.loads(row["document"])])
    hashes = {row["sha256"] for row in files}
    hashes |= {row[column] for row in papers for column in ("pdf_sha256", "json_sha256")}
    return case, texts, hashes


def _head(case: RowMapping, sizes: Mapping[str, tuple[str, int]]) -> bytes:
    members = [
        {"name": name, "sha256": digest, "size_bytes": size}
        for name, (digest, size) in sorted(sizes.items())
    ]
    head = {
        "format": FORMAT,
        "program": f"thumbwright {__version__}",
        "case_key": case["key"],
        "created_at": case["created_at"],
        "is_archived": case["archived_at"] is not None,
        "archived_at": case["archived_at"],
        "members": members,
    }
    return _lines([head])


def _lines(rows: list[Any]) -> bytes:
    return "".join(f"{as_text(row)}\n" for row in rows).encode()


def _rows(connection: Connection, table: Table, key: str, order: str) -> list[dict[str, Any]]:
    ask = select(table).where(table.c.case_key == key).order_by(table.c[order])
    found = connection.execute(ask).mappings()
    return [{name: row[name] for name in row if name != "case_key"} for row in found]


def _changes(connection: Connection, key: str) -> list[dict[str, Any]]:
    rows = _rows(connection, tables.changes, key, "number")
    return [row | {name: json.loads(row[name]) for name in _JSON_COLUMNS} for row in rows]


def _add(archive: ZipFile, name: str, data: bytes) -> None:
    info = ZipInfo(name, _DAY)
    info.create_system, info.external_attr = _UNIX, _READABLE
    info.compress_type = ZIP_STORED if _looks_like_a_bomb(data) else ZIP_DEFLATED
    archive.writestr(info, data)


def _looks_like_a_bomb(data: bytes) -> bool:
    """Tell whether a reader would refuse this member if it were deflated, as an empty film is."""
    if len(data) <= RATIO_FROM_BYTES:
        return False
    packer = compressobj(Z_DEFAULT_COMPRESSION, DEFLATED, -MAX_WBITS)
    packed = len(packer.compress(data)) + len(packer.flush())
    return len(data) > LARGEST_RATIO * packed


def _is_there(connection: Connection, content: Content) -> bool:
    """Tell whether the case is there with all that the bundle holds.

    Raises
    ------
    BundleError
        If a case of this key is there, and it is not the one of the bundle.
    """
    key = content.head.case_key
    ask = select(tables.cases).where(tables.cases.c.key == key)
    if connection.execute(ask).first() is None:
        return False
    given = [as_text(change.model_dump()) for change in content.changes]
    there = {as_text(row) for row in _rows(connection, tables.papers, key, "number")}
    files = {(row["name"], row["sha256"]) for row in _rows(connection, tables.files, key, "name")}
    if given != [as_text(row) for row in _changes(connection, key)]:
        what = "another history"
    elif not {as_text(paper.model_dump()) for paper in content.papers} <= there:
        what = "the same history and other papers"
    elif not {(one.name, one.sha256) for one in content.files} <= files:
        what = "the same history and other films or photographs"
    else:
        return True
    raise refused(
        f"a case of the key {key} with {what} is there already",
        "a bundle of a case that is not there, or is there unchanged",
        "keep the case that is there, or take the bundle into an empty store and compare them",
    )


def _put(connection: Connection, cases: CaseStore, content: Content) -> None:
    head, changes = content.head, content.changes
    # The name in the list is worked out anew: a bundle must not be listed under another's name.
    name, summary = cases.named(content.parts[Part.FACTS])
    row = {
        "key": head.case_key,
        "name": name,
        "summary": summary,
        "version": len(changes),
        "created_at": head.created_at,
        "changed_at": changes[-1].made_at if changes else head.created_at,
        "archived_at": head.archived_at,
    }
    connection.execute(insert(tables.cases).values(**row))
    written = [change.model_dump() for change in changes]
    rows: dict[Table, list[dict[str, Any]]] = {
        tables.parts: [
            {"part": part.value, "document": as_text(text)} for part, text in content.parts.items()
        ],
        tables.changes: [
            one | {column: as_text(one[column]) for column in _JSON_COLUMNS} for one in written
        ],
        tables.files: [one.model_dump() for one in content.files],
        tables.papers: [one.model_dump() for one in content.papers],
    }
    for table, found in rows.items():
        if found:
            keyed = [{"case_key": head.case_key, **one} for one in found]
            connection.execute(insert(table), keyed)
