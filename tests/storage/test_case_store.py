"""Facts are kept with who, when and why; nobody's edit is lost; nothing is ever altered."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from threading import Thread

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import event, insert, select, text
from sqlalchemy.exc import IntegrityError

from thumbwright.storage import tables
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.documents import replayed
from thumbwright.storage.records import (
    ConflictError,
    Edit,
    NoSuchCaseError,
    Part,
    StoreError,
    Table,
    Value,
)

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
FACTS: Table = {"case_id": "A-1", "patient": {"pseudonym": "Joiner", "smoking": "never"}}


def named(facts: Table) -> tuple[str, str]:
    return str(facts.get("case_id", "?")), str(facts.get("patient", ""))


@pytest.fixture
def store(tmp_path: Path) -> Iterator[CaseStore]:
    database = Database(tmp_path / "cases.db")
    ticks = count()
    yield CaseStore(database, lambda: START + timedelta(seconds=next(ticks)), named)
    database.close()


def smoking(value: Value) -> list[Edit]:
    return [Edit(path=("patient", "smoking"), value=value)]


def test_a_case_is_found_again_with_its_facts(store: CaseStore) -> None:
    key = store.begin("Dr A", "new", {Part.FACTS: FACTS}).key
    assert store.case(key).parts[Part.FACTS] == FACTS
    assert [row.name for row in store.cases()] == ["A-1"]
    assert [row.key for row in store.cases("JOINER a-1")] == [key]
    assert store.cases("farmer") == ()


def test_a_change_says_who_when_before_after_and_why(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    after = store.record(
        begun.key, Part.FACTS, smoking("daily"), "Nurse B", "told us", based_on=begun.version
    )
    assert after.parts[Part.FACTS]["patient"] == {"pseudonym": "Joiner", "smoking": "daily"}
    change = store.history(begun.key)[-1]
    assert (change.made_by, change.before, change.after, change.why) == (
        "Nurse B",
        "never",
        "daily",
        "told us",
    )
    assert change.made_at > START
    assert change.number == after.version == begun.version + 1


def test_what_is_already_so_makes_no_change(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    same = store.record(begun.key, Part.FACTS, smoking("never"), "B", "", based_on=begun.version)
    assert same.version == begun.version


def test_two_people_at_one_fact_get_a_conflict_with_both_values(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    with pytest.raises(ConflictError, match="changed by somebody else") as raised:
        store.record(begun.key, Part.FACTS, smoking("former"), "C", "", based_on=begun.version)
    (clash,) = raised.value.clashes
    assert (clash.path, clash.yours, clash.theirs) == ("patient.smoking", "former", "daily")
    assert clash.changed_by == "B"
    assert store.case(begun.key).version == begun.version + 1


def test_a_conflict_keeps_nothing_of_the_edit(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    both = [Edit(path=("case_id",), value="A-2"), *smoking("former")]
    with pytest.raises(ConflictError):
        store.record(begun.key, Part.FACTS, both, "C", "", based_on=begun.version)
    assert store.case(begun.key).parts[Part.FACTS]["case_id"] == "A-1"


def test_two_people_at_different_facts_do_not_disturb_each_other(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    other = [Edit(path=("patient", "pseudonym"), value="Turner")]
    after = store.record(begun.key, Part.FACTS, other, "C", "", based_on=begun.version)
    assert after.parts[Part.FACTS]["patient"] == {"pseudonym": "Turner", "smoking": "daily"}


def test_a_change_within_a_part_that_another_replaced_is_a_conflict(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    whole = [Edit(path=("patient",), value={"pseudonym": "X"})]
    store.record(begun.key, Part.FACTS, whole, "B", "", based_on=begun.version)
    with pytest.raises(ConflictError):
        store.record(begun.key, Part.FACTS, smoking("daily"), "C", "", based_on=begun.version)


def test_undo_puts_back_what_was_there_and_can_be_undone(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    back = store.undo(begun.key, begun.version + 1, "B", "slip")
    assert back.parts[Part.FACTS] == FACTS
    assert store.history(begun.key)[-1].undoes == begun.version + 1
    again = store.undo(begun.key, back.version, "B", "no slip")
    assert again.parts[Part.FACTS]["patient"] == {"pseudonym": "Joiner", "smoking": "daily"}


def test_undo_is_refused_if_the_fact_was_changed_again(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    first = store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    store.record(begun.key, Part.FACTS, smoking("former"), "C", "", based_on=first.version)
    with pytest.raises(ConflictError):
        store.undo(begun.key, first.version, "B", "")


def test_what_began_the_case_cannot_be_undone(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    with pytest.raises(StoreError, match="did not begin a document"):
        store.undo(begun.key, 1, "B", "")


def test_the_database_itself_refuses_to_alter_or_remove_a_change(store: CaseStore) -> None:
    store.begin("Dr A", "new", {Part.FACTS: FACTS})
    for statement in ("UPDATE changes SET made_by = 'x'", "DELETE FROM changes"):
        with (
            pytest.raises(IntegrityError, match="kept for ever"),
            store.database.writing() as connection,
        ):
            connection.execute(text(statement))


def test_an_archived_case_leaves_the_list_and_comes_back(store: CaseStore) -> None:
    key = store.begin("Dr A", "new", {Part.FACTS: FACTS}).key
    store.put_away(key)
    assert store.cases() == ()
    assert [row.key for row in store.cases(archived=True)] == [key]
    store.put_away(key, away=False)
    assert [row.key for row in store.cases()] == [key]


def test_a_copy_has_the_facts_and_its_own_history(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS, Part.FILMS: {"films": []}})
    store.record(begun.key, Part.FACTS, smoking("daily"), "B", "", based_on=begun.version)
    copy = store.copy(begun.key, "C")
    assert copy.parts == store.case(begun.key).parts
    assert {change.made_by for change in store.history(copy.key)} == {"C"}


def test_an_unknown_case_is_named(store: CaseStore) -> None:
    with pytest.raises(NoSuchCaseError, match="no case of the key 'nobody'"):
        store.case("nobody")


def test_writers_at_once_lose_no_change(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: {}})

    def write(who: int) -> None:
        for turn in range(10):
            edit = Edit(path=(f"fact_{who}",), value=turn)
            store.record(begun.key, Part.FACTS, [edit], f"P{who}", "", based_on=begun.version + 99)

    threads = [Thread(target=write, args=(who,)) for who in range(6)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert store.case(begun.key).parts[Part.FACTS] == {f"fact_{who}": 9 for who in range(6)}
    numbers = [change.number for change in store.history(begun.key)]
    assert numbers == list(range(1, begun.version + 61))


KEYS = st.sampled_from(["a", "b", "c"])
VALUES = st.one_of(st.none(), st.integers(-3, 3), st.text(max_size=4), st.lists(st.integers(0, 3)))


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(edits=st.lists(st.tuples(st.sampled_from(Part), st.lists(KEYS, min_size=1), VALUES)))
def test_the_history_adds_up_to_what_is_there(
    store: CaseStore, edits: list[tuple[Part, list[str], Value]]
) -> None:
    stored = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    for part, path, value in edits:
        edit = Edit(path=tuple(path), value=value)
        try:
            store.record(stored.key, part, [edit], "B", "", based_on=10_000)
        except StoreError as refused:
            assert "is no entry" in str(refused)  # noqa: PT017  any other refusal fails
    there = store.case(stored.key).parts
    assert replayed(store.history(stored.key)) == there


@contextmanager
def broken_at(store: CaseStore, words: str) -> Iterator[None]:
    """Break the next statement that holds some words, as a killed program breaks it."""

    def break_it(*args: object) -> None:
        if words in str(args[2]):
            msg = "cut off"
            raise RuntimeError(msg)

    event.listen(store.database.engine, "before_cursor_execute", break_it)
    yield
    event.remove(store.database.engine, "before_cursor_execute", break_it)


@pytest.mark.parametrize(
    "statement", ["INSERT INTO parts", "INSERT INTO changes", "UPDATE cases", "INSERT INTO files"]
)
def test_a_copy_that_is_cut_off_leaves_nothing_of_itself(store: CaseStore, statement: str) -> None:
    key = store.begin("Dr A", "new", {Part.FACTS: FACTS}).key
    with store.database.writing() as connection:
        row = {"kind": "film", "media_type": "x", "sha256": "0" * 64, "size_bytes": 1}
        row |= {"case_key": key, "name": "a.dcm", "added_at": "2026", "added_by": "Dr A"}
        connection.execute(insert(tables.files), row)
    with broken_at(store, statement), pytest.raises(RuntimeError, match="cut off"):
        store.copy(key, "C")
    assert [one.key for one in store.cases()] == [key]
    with store.database.reading() as connection:
        for table in (tables.parts, tables.changes, tables.files):
            assert {one.case_key for one in connection.execute(select(table))} == {key}
    copy = store.copy(key, "C")
    with store.database.reading() as connection:
        files = connection.execute(select(tables.files)).mappings().all()
    assert {(one["case_key"], one["name"], one["added_by"]) for one in files} == {
        (key, "a.dcm", "Dr A"),
        (copy.key, "a.dcm", "C"),
    }


def test_many_facts_at_once_are_recorded_whole_or_not_at_all(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    edits = [Edit(path=(f"fact_{number}",), value=number) for number in range(20)]
    with broken_at(store, "UPDATE parts"), pytest.raises(RuntimeError, match="cut off"):
        store.record(begun.key, Part.FACTS, edits, "B", "", based_on=begun.version)
    assert store.case(begun.key) == begun
    assert len(store.history(begun.key)) == begun.version


def test_a_case_is_read_no_more_often_for_many_facts_than_for_one(store: CaseStore) -> None:
    begun = store.begin("Dr A", "new", {Part.FACTS: FACTS})
    counts = []
    for turn, number in enumerate((1, 20)):
        asked: list[str] = []

        def note(*args: object, into: list[str] = asked) -> None:
            into.append(str(args[2]))

        event.listen(store.database.engine, "before_cursor_execute", note)
        edits = [Edit(path=(f"fact_{turn}_{at}",), value=at) for at in range(number)]
        after = store.record(begun.key, Part.FACTS, edits, "B", "", based_on=99)
        event.remove(store.database.engine, "before_cursor_execute", note)
        counts.append(len(asked))
        assert store.case(begun.key) == after
    assert counts[0] == counts[1]
