"""Cases with every change that was made to them."""

import json
from collections.abc import Callable, Sequence
from datetime import datetime
from typing import Any
from uuid import uuid4

from sqlalchemy import Connection, RowMapping, Select, insert, select, update

from thumbwright.storage import tables
from thumbwright.storage.database import Database
from thumbwright.storage.documents import as_text, overlap, value_at, with_value
from thumbwright.storage.records import (
    Attempt,
    CaseRow,
    Change,
    Clash,
    ConflictError,
    Edit,
    NoSuchCaseError,
    Part,
    StoredCase,
    StoreError,
    Table,
)

Now = Callable[[], datetime]
Named = Callable[[Table], tuple[str, str]]
"""From facts to the name and the one-line summary under which a case is listed."""


class CaseStore:
    """The cases of one database.

    Parameters
    ----------
    database
        Where they lie.
    now
        The clock.
    named
        How a case is called in the list.
    """

    def __init__(self, database: Database, now: Now, named: Named) -> None:
        self.database = database
        self._now = now
        self.named = named

    def moment(self) -> str:
        """Return the time by the store's clock, as it is written down."""
        return _text(self._now())

    def cases(self, search: str = "", *, archived: bool = False) -> tuple[CaseRow, ...]:
        """Return the list of cases, the one changed last first.

        Parameters
        ----------
        search
            Words that must all occur in name or summary, in any case of letters.
        archived
            Whether those that were put away are listed, in place of the others.
        """
        cases = tables.cases
        wanted = cases.c.archived_at.is_not(None) if archived else cases.c.archived_at.is_(None)
        ask = select(cases).where(wanted).order_by(cases.c.changed_at.desc(), cases.c.key)
        with self.database.reading() as connection:
            rows = [_row(found) for found in connection.execute(ask).mappings()]
        words = search.casefold().split()
        return tuple(
            row
            for row in rows
            if all(word in f"{row.name} {row.summary}".casefold() for word in words)
        )

    def begin(
        self, who: str, why: str, parts: dict[Part, Table], *, key: str | None = None
    ) -> StoredCase:
        """Begin a case with the documents it starts with.

        Raises
        ------
        StoreError
            If there is a case of this key already.
        """
        with self.database.writing() as connection:
            return self._begin(connection, key or uuid4().hex, parts, who, why)

    def case(self, key: str) -> StoredCase:
        """Return one case.

        Raises
        ------
        NoSuchCaseError
            If there is none of this key.
        """
        with self.database.reading() as connection:
            return _stored(connection, key)

    def record(
        self, key: str, part: Part, edits: Sequence[Edit], who: str, why: str, *, based_on: int
    ) -> StoredCase:
        """Record changes of facts; all of them, or none.

        Parameters
        ----------
        key, part
            Which document of which case.
        edits
            What changes; what is already so is left out.
        who, why
            Who says so, and for what reason.
        based_on
            Version of the case that this person saw.

        Raises
        ------
        ConflictError
            If one of the facts was changed by another since then.
        NoSuchCaseError
            If there is no such case.
        """
        with self.database.writing() as connection:
            stored = _stored(connection, key)
            real = [one for one in edits if value_at(stored.parts[part], one.path) != one.value]
            since = _changes(connection, key, after=based_on)
            if clashes := _clashes(stored.parts[part], part, real, since):
                attempt = Attempt(key=key, part=part, edits=tuple(real), why=why, based_on=based_on)
                raise ConflictError(clashes, attempt)
            return self._change(connection, stored, [(part, edit) for edit in real], who, why)

    def clashes(self, attempt: Attempt) -> tuple[Clash, ...]:
        """Return where an attempt meets what others have changed since, as it stands now."""
        with self.database.reading() as connection:
            stored = _stored(connection, attempt.key)
            since = _changes(connection, attempt.key, after=attempt.based_on)
        there = stored.parts[attempt.part]
        real = [one for one in attempt.edits if value_at(there, one.path) != one.value]
        return _clashes(there, attempt.part, real, since)

    def undo(self, key: str, number: int, who: str, why: str) -> StoredCase:
        """Take one change back, by a further change.

        Raises
        ------
        ConflictError
            If the fact was changed again since.
        StoreError
            If there is no such change, or it began the case.
        """
        with self.database.writing() as connection:
            stored = _stored(connection, key)
            changes = _changes(connection, key)
            found = [change for change in changes if change.number == number]
            if not found or not found[0].path:
                msg = (
                    f"change {number} was to be taken back; allowed are changes 1 to "
                    f"{stored.version} that did not begin a document; see the history"
                )
                raise StoreError(msg)
            was = found[0]
            edit = Edit(path=was.path, value=was.before)
            there = value_at(stored.parts[was.part], was.path)
            if there != was.after:
                since = tuple(change for change in changes if change.number > number)
                clashes = _clashes(stored.parts[was.part], was.part, [edit], since)
                attempt = Attempt(key=key, part=was.part, edits=(edit,), why=why, based_on=number)
                raise ConflictError(clashes, attempt)
            return self._change(connection, stored, [(was.part, edit)], who, why, undoes=number)

    def history(self, key: str) -> tuple[Change, ...]:
        """Return every change of a case, the first one first."""
        with self.database.reading() as connection:
            _stored(connection, key)
            return _changes(connection, key)

    def put_away(self, key: str, *, away: bool = True) -> None:
        """Put a case into the archive, or fetch it back."""
        with self.database.writing() as connection:
            _stored(connection, key)
            when = self.moment() if away else None
            connection.execute(
                update(tables.cases).where(tables.cases.c.key == key).values(archived_at=when)
            )

    def copy(self, key: str, who: str) -> StoredCase:
        """Begin a new case with documents, films and photographs of another, or do nothing.

        History and papers stay behind. The bytes of a file lie under their hash, so that the copy
        needs rows alone, which are written together with it.
        """
        with self.database.writing() as connection:
            stored = _stored(connection, key)
            why = f"copy of case {stored.row.name}"
            copy = self._begin(connection, uuid4().hex, dict(stored.parts), who, why)
            files = tables.files
            ask = select(files).where(files.c.case_key == key, files.c.removed_at.is_(None))
            fresh = {"case_key": copy.key, "added_at": self.moment(), "added_by": who}
            rows = [{**row, **fresh} for row in connection.execute(ask).mappings()]
            if rows:
                connection.execute(insert(files), rows)
            return copy

    def _begin(
        self, connection: Connection, key: str, parts: dict[Part, Table], who: str, why: str
    ) -> StoredCase:
        if connection.execute(_ask_case(key)).first() is not None:
            msg = f"a case of the key {key} is there already; allowed is a new key; choose one"
            raise StoreError(msg)
        now = self.moment()
        name, summary = self.named(parts.get(Part.FACTS, {}))
        connection.execute(
            insert(tables.cases).values(
                key=key, name=name, summary=summary, version=0, created_at=now, changed_at=now
            )
        )
        empty = [{"case_key": key, "part": part.value, "document": "{}"} for part in Part]
        connection.execute(insert(tables.parts), empty)
        whole = [(part, Edit(path=(), value=document)) for part, document in parts.items()]
        return self._change(connection, _stored(connection, key), whole, who, why)

    def _change(
        self,
        connection: Connection,
        stored: StoredCase,
        edits: Sequence[tuple[Part, Edit]],
        who: str,
        why: str,
        *,
        undoes: int | None = None,
    ) -> StoredCase:
        """Make changes of a case that was read in this transaction, and return it as it is then."""
        if not edits:
            return stored
        key, now, documents = stored.key, self.moment(), dict(stored.parts)
        rows = []
        for number, (part, edit) in enumerate(edits, start=stored.version + 1):
            before = value_at(documents[part], edit.path)
            documents[part] = with_value(documents[part], edit.path, edit.value)
            row = {"case_key": key, "number": number, "made_at": now, "made_by": who}
            row |= {"part": part.value, "path": as_text(list(edit.path)), "why": why}
            row |= {"before": as_text(before), "after": as_text(edit.value), "undoes": undoes}
            rows.append(row)
        connection.execute(insert(tables.changes), rows)
        there = tables.parts.c
        for part in {part: None for part, _ in edits}:
            connection.execute(
                update(tables.parts)
                .where(there.case_key == key, there.part == part.value)
                .values(document=as_text(documents[part]))
            )
        name, summary = self.named(documents[Part.FACTS])
        connection.execute(
            update(tables.cases)
            .where(tables.cases.c.key == key)
            .values(name=name, summary=summary, version=rows[-1]["number"], changed_at=now)
        )
        return _stored(connection, key)


def _ask_case(key: str) -> Select[Any]:
    return select(tables.cases).where(tables.cases.c.key == key)


def _stored(connection: Connection, key: str) -> StoredCase:
    found = connection.execute(_ask_case(key)).mappings().first()
    if found is None:
        msg = f"no case of the key {key!r}; allowed are those of the list of cases; open one there"
        raise NoSuchCaseError(msg)
    ask = select(tables.parts).where(tables.parts.c.case_key == key)
    documents = {
        Part(row["part"]): json.loads(row["document"]) for row in connection.execute(ask).mappings()
    }
    return StoredCase(row=_row(found), parts=documents)


def _changes(connection: Connection, key: str, *, after: int = 0) -> tuple[Change, ...]:
    changes = tables.changes
    ask = (
        select(changes)
        .where(changes.c.case_key == key, changes.c.number > after)
        .order_by(changes.c.number)
    )
    return tuple(
        Change(
            number=row["number"],
            made_at=datetime.fromisoformat(row["made_at"]),
            made_by=row["made_by"],
            part=Part(row["part"]),
            path=tuple(json.loads(row["path"])),
            before=json.loads(row["before"]),
            after=json.loads(row["after"]),
            why=row["why"],
            undoes=row["undoes"],
        )
        for row in connection.execute(ask).mappings()
    )


def _clashes(
    there: Table, part: Part, edits: Sequence[Edit], since: Sequence[Change]
) -> tuple[Clash, ...]:
    found = []
    for edit in edits:
        met = [one for one in since if one.part is part and overlap(one.path, edit.path)]
        if met:
            found.append(
                Clash(
                    path=".".join(map(str, edit.path)) or part.value,
                    edit=edit,
                    yours=edit.value,
                    theirs=value_at(there, edit.path),
                    changed_by=met[-1].made_by,
                    changed_at=met[-1].made_at,
                )
            )
    return tuple(found)


def _row(found: RowMapping) -> CaseRow:
    return CaseRow(
        key=found["key"],
        name=found["name"],
        summary=found["summary"],
        version=found["version"],
        created_at=datetime.fromisoformat(found["created_at"]),
        changed_at=datetime.fromisoformat(found["changed_at"]),
        is_archived=found["archived_at"] is not None,
    )


def _text(moment: datetime) -> str:
    return moment.isoformat(timespec="milliseconds")
