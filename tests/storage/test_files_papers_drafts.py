"""Films are whole or absent, papers are numbered for ever, drafts outlive the program."""

from collections.abc import Iterator
from datetime import UTC, datetime
from hashlib import sha256
from pathlib import Path

import pytest
from sqlalchemy import text
from sqlalchemy.exc import IntegrityError

from thumbwright.storage.backup import back_up, backups, prove, put_back
from thumbwright.storage.case_files import CaseFiles
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.drafts import Drafts
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.papers import Papers
from thumbwright.storage.records import Edit, NoSuchCaseError, Part, StoreError, Table

NOW = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
FILM = b"film" * 1000


def named(facts: Table) -> tuple[str, str]:
    return str(facts.get("case_id", "?")), ""


class Bench:
    """A store with one case."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.database = Database(folder / "cases.db")
        self.kept = FileStore(folder / "files")
        self.cases = CaseStore(self.database, lambda: NOW, named)
        self.files = CaseFiles(self.cases, self.kept)
        self.papers = Papers(self.cases, self.kept)
        self.drafts = Drafts(self.cases)


@pytest.fixture
def bench(tmp_path: Path) -> Iterator[Bench]:
    bench = Bench(tmp_path / "store")
    yield bench
    bench.database.close()


@pytest.fixture
def key(bench: Bench) -> str:
    return bench.cases.begin("Dr A", "new", {Part.FACTS: {"case_id": "A-1"}}).key


def add(bench: Bench, key: str, name: str = "hand.dcm", data: bytes = FILM) -> None:
    bench.files.add(key, "film", name, "application/dicom", data, "Dr A")


def issue(bench: Bench, key: str, pdf: bytes) -> int:
    return bench.papers.issue(
        key,
        kind="plan",
        title="Plan",
        version=1,
        facts_sha256="0" * 64,
        program="0.1.0",
        pdf=pdf,
        json=b"{}",
        who="Dr A",
    ).number


def test_a_film_comes_back_as_it_was_given(bench: Bench, key: str) -> None:
    add(bench, key)
    record, data = bench.files.read(key, "hand.dcm")
    assert data == FILM
    assert (record.sha256, record.size_bytes) == (sha256(FILM).hexdigest(), 4000)
    assert [one.name for one in bench.files.of_case(key, "film")] == ["hand.dcm"]
    assert bench.files.of_case(key, "photograph") == ()


def test_another_film_of_the_same_name_is_refused(bench: Bench, key: str) -> None:
    add(bench, key)
    add(bench, key)
    with pytest.raises(StoreError, match="each name once"):
        add(bench, key, data=b"other")
    bench.files.take_away(key, "hand.dcm")
    add(bench, key, data=b"other")
    assert bench.files.read(key, "hand.dcm")[1] == b"other"


def test_a_film_that_was_taken_away_is_no_longer_listed(bench: Bench, key: str) -> None:
    add(bench, key)
    bench.files.take_away(key, "hand.dcm")
    assert bench.files.of_case(key) == ()
    with pytest.raises(StoreError, match=r"no file 'hand\.dcm'"):
        bench.files.read(key, "hand.dcm")


def test_a_film_of_no_case_is_refused(bench: Bench) -> None:
    with pytest.raises(NoSuchCaseError):
        add(bench, "nobody")


def test_a_file_that_changed_on_the_disk_is_refused_and_found(bench: Bench, key: str) -> None:
    add(bench, key)
    assert troubles(bench.cases, bench.kept, read_files=True) == ()
    place = bench.kept.place(sha256(FILM).hexdigest())
    place.write_bytes(FILM[:-1])
    with pytest.raises(StoreError, match="bytes have changed"):
        bench.files.read(key, "hand.dcm")
    (trouble,) = troubles(bench.cases, bench.kept, read_files=True)
    assert "bytes have changed" in trouble
    place.unlink()
    (trouble,) = troubles(bench.cases, bench.kept, read_files=False)
    assert "missing" in trouble


def test_what_a_killed_program_left_half_written_is_swept(bench: Bench) -> None:
    name = bench.kept.keep(FILM)
    half = bench.kept.place(name).with_name("x.half")
    half.write_bytes(b"fil")
    assert list(bench.kept.names()) == [name]
    assert bench.kept.sweep() == 1
    assert not half.exists()


def test_papers_are_numbered_and_cannot_be_altered(bench: Bench, key: str) -> None:
    assert [issue(bench, key, pdf) for pdf in (b"one", b"two")] == [1, 2]
    newest = bench.papers.of_case(key)[0]
    assert bench.kept.read(newest.pdf_sha256) == b"two"
    for statement in ("UPDATE papers SET title = 'x'", "DELETE FROM papers"):
        with (
            pytest.raises(IntegrityError, match="kept for ever"),
            bench.database.writing() as connection,
        ):
            connection.execute(text(statement))


def test_a_draft_outlives_the_program(bench: Bench, key: str) -> None:
    bench.drafts.keep(key, "hand", "Dr A", {"a": "1"}, based_on=1)
    bench.drafts.keep(key, "hand", "Dr A", {"a": "2", "b": ["x", "y"]}, based_on=1)
    bench.database.close()
    again = Bench(bench.folder)
    draft = again.drafts.of_page(key, "hand", "Dr A")
    assert draft is not None
    assert draft.answers == {"a": "2", "b": ["x", "y"]}
    assert again.drafts.of_page(key, "hand", "Nurse B") is None
    again.drafts.drop(key, "hand", "Dr A")
    assert again.drafts.of_page(key, "hand", "Dr A") is None
    again.database.close()


@pytest.mark.usefixtures("key")
def test_facts_that_are_not_what_the_history_adds_up_to_are_found(bench: Bench) -> None:
    with bench.database.writing() as connection:
        connection.execute(text("UPDATE parts SET document = '{}' WHERE part = 'facts'"))
    (trouble,) = troubles(bench.cases, bench.kept, read_files=False)
    assert "not what its history adds up to" in trouble


def test_a_backup_can_be_proved_and_put_back(bench: Bench, key: str, tmp_path: Path) -> None:
    add(bench, key)
    issue(bench, key, b"one")
    into = tmp_path / "backups"
    made = back_up(bench.database, bench.kept, into, NOW)
    assert prove(made, named, lambda: NOW) == ()
    edit = Edit(path=("case_id",), value="A-2")
    bench.cases.record(key, Part.FACTS, [edit], "Dr A", "", based_on=1)
    bench.database.close()
    put_back(backups(into)[0], bench.folder)
    again = Bench(bench.folder)
    assert again.cases.case(key).parts[Part.FACTS] == {"case_id": "A-1"}
    assert again.files.read(key, "hand.dcm")[1] == FILM
    assert len(again.papers.of_case(key)) == 1
    assert troubles(again.cases, again.kept, read_files=True) == ()
    again.database.close()
    (aside,) = tmp_path.glob("store-before-*")
    assert (aside / "cases.db").is_file()


def test_a_damaged_backup_is_found_out(bench: Bench, key: str, tmp_path: Path) -> None:
    add(bench, key)
    made = back_up(bench.database, bench.kept, tmp_path / "backups", NOW)
    place = made.folder / "files" / sha256(FILM).hexdigest()[:2] / sha256(FILM).hexdigest()
    place.write_bytes(b"x")
    assert "bytes have changed" in prove(made, named, lambda: NOW)[0]
    database = made.folder / "cases.db"
    database.write_bytes(database.read_bytes()[:-1])
    assert "has changed since it was made" in prove(made, named, lambda: NOW)[0]


def test_a_backup_that_cannot_be_written_leaves_nothing(bench: Bench, tmp_path: Path) -> None:
    into = tmp_path / "backups"
    into.write_text("a file, no folder")
    with pytest.raises(StoreError, match="no backup could be made"):
        back_up(bench.database, bench.kept, into, NOW)
