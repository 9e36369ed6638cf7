"""A copy is put back whole, or everything stays as it was; what is there is copied before."""

from collections.abc import Callable, Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from sqlalchemy import insert

from thumbwright.core.foundations.answer import Unknown
from thumbwright.storage.backup import Backup, back_up, backups, finish_put_back, put_back
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.records import Edit, Part, StoreError, Table
from thumbwright.storage.restore import backup_named, demand_proof, describe, losses, restore
from thumbwright.storage.tables import files

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
OLD, NEW = "as it was copied", "as it was after"


def named(facts: Table) -> tuple[str, str]:
    return str(facts.get("word", "?")), ""


class Bench:
    """A store with one case, a copy of it, and a change after the copy."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.store = folder, folder / "store"
        ticks = count()
        self.now: Callable[[], datetime] = lambda: START + timedelta(seconds=next(ticks))
        self.database = Database(self.store / "cases.db")
        self.kept = FileStore(self.store / "files")
        (self.store / "secret").write_bytes(b"the secret")
        self.cases = CaseStore(self.database, self.now, named)
        self.key = self.cases.begin("A", "", {Part.FACTS: {"word": OLD}}).key
        self.copy = back_up(self.database, self.kept, folder / "backups", self.now())
        edit = Edit(path=("word",), value=NEW)
        self.cases.record(self.key, Part.FACTS, [edit], "A", "", based_on=1)

    def word(self) -> object:
        """Return what the store says now, after it was checked."""
        with closing(Database(self.store / "cases.db")) as database:
            cases = CaseStore(database, self.now, named)
            assert troubles(cases, FileStore(self.store / "files"), read_files=True) == ()
            return cases.case(self.key).parts[Part.FACTS]["word"]


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    made = Bench(tmp_path)
    yield made
    made.database.close()


def test_a_copy_says_its_size_its_cases_and_whether_it_was_read_back(bench: Bench) -> None:
    found = describe(bench.copy)
    assert (found.case_count, found.proved_at) == (1, None)
    assert found.size_bytes > (bench.copy.folder / "cases.db").stat().st_size
    demand_proof(bench.copy, named, bench.now)
    assert describe(bench.copy).proved_at is not None


def test_a_damaged_copy_is_told_and_never_put_back(bench: Bench) -> None:
    demand_proof(bench.copy, named, bench.now)
    (bench.copy.folder / "cases.db").write_bytes(b"no database at all" * 99)
    assert isinstance(describe(bench.copy).case_count, Unknown)
    with pytest.raises(StoreError, match="does not hold"):
        restore(bench.copy, bench.database, bench.folder, named, bench.now)
    assert describe(bench.copy).proved_at is None
    assert bench.word() == NEW


def test_a_copy_whose_note_is_damaged_is_not_listed(bench: Bench) -> None:
    (bench.copy.folder / "backup.json").write_text("{")
    assert backups(bench.folder / "backups") == ()
    with pytest.raises(StoreError, match="no copy is called"):
        backup_named(bench.folder / "backups", bench.copy.folder.name)


def test_what_would_be_lost_is_told_in_words(bench: Bench) -> None:
    bench.cases.begin("A", "", {Part.FACTS: {"word": "a later case"}})
    assert set(losses(bench.copy, bench.database)) == {
        f"{NEW}: 1 change",
        "a later case: the whole case (1 change)",
    }


def test_a_copy_is_put_back_and_that_can_be_undone(bench: Bench) -> None:
    done = restore(bench.copy, bench.database, bench.folder, named, bench.now)
    assert bench.word() == OLD
    assert bench.cases.case(bench.key).parts[Part.FACTS]["word"] == OLD
    assert losses(bench.copy, bench.database) == ()
    assert (bench.store / "secret").read_bytes() == b"the secret"
    assert {one.name for one in bench.store.iterdir()} <= {
        *("cases.db", "cases.db-wal", "cases.db-shm", "files", "secret")
    }
    assert done.aside is None
    assert done.before is not None
    restore(done.before, bench.database, bench.folder, named, bench.now)
    assert bench.word() == NEW


def test_histories_that_parted_after_a_copy_are_both_told(bench: Bench) -> None:
    after = back_up(bench.database, bench.kept, bench.folder / "backups", bench.now())
    restore(bench.copy, bench.database, bench.folder, named, bench.now)
    for word in ("other", "another"):
        edit = Edit(path=("word",), value=word)
        bench.cases.record(bench.key, Part.FACTS, [edit], "B", "", based_on=9)
    assert losses(after, bench.database) == ("another: 2 changes",)


def test_a_store_that_cannot_be_opened_is_put_aside_and_kept(bench: Bench) -> None:
    bench.database.close()
    for place in bench.store.glob("cases.db*"):
        place.write_bytes(b"broken")
    done = restore(bench.copy, None, bench.folder, named, bench.now)
    assert bench.word() == OLD
    assert done.before is None
    assert done.aside is not None
    assert (done.aside / "cases.db").read_bytes() == b"broken"


def test_a_store_whose_file_is_missing_is_put_aside_and_kept(bench: Bench) -> None:
    with bench.database.writing() as connection:
        row = {"kind": "film", "media_type": "x", "sha256": "0" * 64, "size_bytes": 1}
        row |= {"case_key": bench.key, "name": "a", "added_at": "2026", "added_by": "A"}
        connection.execute(insert(files), row)
    done = restore(bench.copy, bench.database, bench.folder, named, bench.now)
    assert done.before is None
    assert done.aside is not None
    assert (done.aside / "cases.db").is_file()
    assert bench.word() == OLD


class KilledError(BaseException):
    """Stands for the end of the program: nothing catches it."""


@pytest.mark.parametrize("at", range(1, 5))
@pytest.mark.parametrize("kind", [KilledError, OSError])
def test_a_fault_at_any_step_leaves_the_old_or_the_new(
    bench: Bench, monkeypatch: pytest.MonkeyPatch, kind: type[BaseException], at: int
) -> None:
    bench.database.close()
    steps = count(1)
    rename, carry_over = Path.rename, "thumbwright.storage.backup._carry_over"

    def may_fail() -> None:
        if next(steps) == at:
            raise kind

    def renamed(self: Path, target: Path) -> Path:
        may_fail()
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", renamed)
    monkeypatch.setattr(carry_over, lambda *_: may_fail())
    with pytest.raises((KilledError, StoreError)):
        put_back(bench.copy, bench.store)
    monkeypatch.undo()
    if kind is OSError:
        assert bench.store.exists(), "a fault that was noticed must not wait for the next start"
    finish_put_back(bench.store)
    by_hand_new_from = 4 if kind is KilledError else 5
    assert bench.word() == (OLD if at >= by_hand_new_from else NEW)
    assert not list(bench.folder.glob(".store*"))


def test_a_fault_while_it_is_put_back_leaves_the_store_open(
    bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fail(_: Backup, __: Path) -> None:
        raise KilledError

    monkeypatch.setattr("thumbwright.storage.restore.put_back", fail)
    with pytest.raises(KilledError):
        restore(bench.copy, bench.database, bench.folder, named, bench.now)
    assert bench.cases.case(bench.key).parts[Part.FACTS]["word"] == NEW
