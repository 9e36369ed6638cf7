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
        key = key or uuid4().hex
        now = self.moment()
        with self.database.writing() as connection:
            if connection.execute(_ask_case(key)).first() is not None:
                msg = f"a case of the key {key} is there already; allowed is a new key; choose one"
                raise StoreError(msg)
            name, summary = self.named(parts.get(Part.FACTS, {}))
            connection.execute(
                insert(tables.cases).values(
                    key=key, name=name, summary=summary, version=0, created_at=now, changed_at=now
                )
            )
            for part in Part:
                connection.execute(
                    insert(tables.parts).values(case_key=key, part=part.value, document="{}")
                )
            for part, document in parts.items():
                self._change(connection, key, (part, Edit(path=(), value=document)), who, why)
            return _stored(connection, key)

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
                raise ConflictError(clashes)
            for edit in real:
                self._change(connection, key, (part, edit), who, why)
            return _stored(connection, key)

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
                raise ConflictError(_clashes(stored.parts[was.part], was.part, [edit], since))
            self._change(connection, key, (was.part, edit), who, why, undoes=number)
            return _stored(connection, key)

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
        """Begin a new case with the documents of another; history and papers stay behind."""
        stored = self.case(key)
        return self.begin(who, f"copy of case {stored.row.name}", dict(stored.parts))

    def _change(
        self,
        connection: Connection,
        key: str,
        what: tuple[Part, Edit],
        who: str,
        why: str,
        *,
        undoes: int | None = None,
    ) -> None:
        part, edit = what
        stored = _stored(connection, key)
        before = stored.parts[part]
        after = with_value(before, edit.path, edit.value)
        now = self.moment()
        connection.execute(
            insert(tables.changes).values(
                case_key=key,
                number=stored.version + 1,
                made_at=now,
                made_by=who,
                part=part.value,
                path=as_text(list(edit.path)),
                before=as_text(value_at(before, edit.path)),
                after=as_text(edit.value),
                why=why,
                undoes=undoes,
            )
        )
        there = tables.parts.c
        connection.execute(
            update(tables.parts)
            .where(there.case_key == key, there.part == part.value)
            .values(document=as_text(after))
        )
        facts = after if part is Part.FACTS else stored.parts[Part.FACTS]
        name, summary = self.named(facts)
        connection.execute(
            update(tables.cases)
            .where(tables.cases.c.key == key)
            .values(name=name, summary=summary, version=stored.version + 1, changed_at=now)
        )


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
