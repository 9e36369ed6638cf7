"""A bundle carries a whole case to another store, and anything wrong with it is refused."""

import json
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from io import BytesIO
from itertools import count
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select, text

from thumbwright.storage import bundle_check
from thumbwright.storage.bundle import BundleError, read_bundle, write_bundle
from thumbwright.storage.case_files import CaseFiles
from thumbwright.storage.case_store import CaseStore
from thumbwright.storage.database import Database
from thumbwright.storage.documents import as_text
from thumbwright.storage.file_store import FileStore
from thumbwright.storage.integrity import troubles
from thumbwright.storage.papers import Papers
from thumbwright.storage.records import Edit, NoSuchCaseError, Part, StoreError, Table, Value
from thumbwright.storage.tables import metadata

START = datetime(2026, 11, 25, 9, 0, tzinfo=UTC)
FILM, OLD_FILM, PDF = b"film" * 1000, b"old film" * 100, b"%PDF"
HASH = sha256(FILM).hexdigest()
FILM_MEMBER = f"files/{HASH}"
Members = dict[str, bytes]


def named(facts: Table) -> tuple[str, str]:
    return str(facts.get("case_id", "?")), str(facts.get("patient", ""))


class Bench:
    """A store with a clock of its own."""

    def __init__(self, folder: Path) -> None:
        ticks = count()
        self.database = Database(folder / "cases.db")
        self.kept = FileStore(folder / "files")
        self.cases = CaseStore(self.database, lambda: START + timedelta(seconds=next(ticks)), named)
        self.files = CaseFiles(self.cases, self.kept)
        self.papers = Papers(self.cases, self.kept)

    def write(self, key: str = "a1") -> bytes:
        """Return the bundle of a case."""
        return write_bundle(self.cases, self.kept, key)

    def read(self, data: bytes, who: str = "Dr Z") -> str:
        """Take a bundle in."""
        return read_bundle(data, self.cases, self.kept, who).key

    def everything(self) -> tuple[object, ...]:
        """Return every row of every table, and the names of all files."""
        with self.database.reading() as connection:
            rows = [connection.execute(select(table)).all() for table in metadata.sorted_tables]
        return rows, list(self.kept.names())

    def troubles(self) -> tuple[str, ...]:
        """Return what is wrong with the store."""
        return troubles(self.cases, self.kept, read_files=True)

    def add(self, key: str, name: str, data: bytes, kind: str = "film") -> None:
        """Keep a file with a case."""
        self.files.add(key, kind, name, "application/dicom", data, "Dr A")

    def issue(self, key: str, pdf: bytes = PDF) -> None:
        """Issue a paper."""
        self.papers.issue(
            key,
            kind="plan",
            title="Plan",
            version=2,
            facts_sha256="0" * 64,
            program="0.1.0",
            pdf=pdf,
            json=b"{}",
            who="Dr A",
        )


@pytest.fixture
def full(tmp_path: Path) -> Iterator[Bench]:
    """Give a store with one case that has something of everything."""
    bench = Bench(tmp_path / "full")
    parts: dict[Part, Table] = {Part.FACTS: {"case_id": "A-1", "ü": [1, 1.5, None, True]}}
    bench.cases.begin("Dr A", "new", parts, key="a1")
    edit = Edit(path=("patient", "smoking"), value="daily\u2028\n")
    bench.cases.record("a1", Part.FACTS, [edit], "B", "told us", based_on=1)
    bench.cases.undo("a1", 2, "Dr A", "slip")
    bench.add("a1", "hand.dcm", FILM)
    bench.add("a1", "hand.png", b"picture", "photograph")
    bench.add("a1", "old.dcm", OLD_FILM)
    bench.files.take_away("a1", "old.dcm")
    bench.issue("a1")
    yield bench
    bench.database.close()


@pytest.fixture
def empty(tmp_path: Path) -> Iterator[Bench]:
    bench = Bench(tmp_path / "empty")
    yield bench
    bench.database.close()


def members_of(data: bytes) -> Members:
    with ZipFile(BytesIO(data)) as archive:
        return {name: archive.read(name) for name in archive.namelist()}


def zipped(members: Members) -> bytes:
    out = BytesIO()
    with ZipFile(out, "w", ZIP_DEFLATED) as archive:
        for name, data in members.items():
            archive.writestr(name, data)
    return out.getvalue()


def relisted(members: Members) -> Members:
    """Return members whose list fits them, as somebody would send who wishes harm."""
    head = json.loads(members["bundle.json"])
    head["members"] = [
        {"name": name, "sha256": sha256(data).hexdigest(), "size_bytes": len(data)}
        for name, data in sorted(members.items())
        if name != "bundle.json"
    ]
    return members | {"bundle.json": f"{as_text(head)}\n".encode()}


def assert_refused(bench: Bench, data: bytes, words: str) -> None:
    before = bench.everything()
    with pytest.raises(BundleError, match=words) as raised:
        bench.read(data)
    assert "; allowed is " in str(raised.value)
    assert bench.everything() == before


def test_a_case_in_an_empty_store_gives_the_same_bundle_again(full: Bench, empty: Bench) -> None:
    data = full.write()
    assert empty.read(data) == "a1"
    assert empty.write() == data
    assert empty.troubles() == ()
    assert empty.cases.case("a1") == full.cases.case("a1")
    assert empty.cases.history("a1") == full.cases.history("a1")
    assert empty.files.of_case("a1") == full.files.of_case("a1")
    assert empty.papers.of_case("a1") == full.papers.of_case("a1")
    assert empty.files.read("a1", "hand.dcm")[1] == FILM


def test_every_row_of_every_table_comes_over_as_it_was(full: Bench, empty: Bench) -> None:
    full.cases.put_away("a1")
    empty.read(full.write())
    assert empty.everything() == full.everything()
    assert [row.key for row in empty.cases.cases(archived=True)] == ["a1"]


def test_the_same_case_gives_the_same_bytes_and_another_version_others(full: Bench) -> None:
    data = full.write()
    assert full.write() == data
    edit = Edit(path=("case_id",), value="A-2")
    full.cases.record("a1", Part.FACTS, [edit], "B", "", based_on=3)
    assert full.write() != data


def test_members_are_sorted_deflated_and_without_a_clock(full: Bench) -> None:
    with ZipFile(BytesIO(full.write())) as archive:
        infos = archive.infolist()
    assert [info.filename for info in infos] == sorted(info.filename for info in infos)
    assert {info.compress_type for info in infos} == {ZIP_DEFLATED}
    assert {info.date_time for info in infos} == {(1980, 1, 1, 0, 0, 0)}
    head = json.loads(members_of(full.write())["bundle.json"])
    assert head["format"] == "thumbwright-bundle/1"
    assert {one["name"] for one in head["members"]} == {
        info.filename for info in infos if info.filename != "bundle.json"
    }


def test_a_case_without_any_change_comes_over(full: Bench, empty: Bench) -> None:
    full.cases.begin("Dr A", "", {}, key="bare")
    empty.read(full.write("bare"))
    assert empty.write("bare") == full.write("bare")
    assert empty.cases.case("bare") == full.cases.case("bare")


def test_a_film_that_is_nearly_empty_can_be_read_back(full: Bench, empty: Bench) -> None:
    blank = bytes(3 * 1024**2)
    full.add("a1", "blank.dcm", blank)
    data = full.write()
    empty.read(data)
    assert empty.files.read("a1", "blank.dcm")[1] == blank
    assert empty.write() == data


def test_a_film_taken_away_comes_along_only_if_its_bytes_are_kept(
    full: Bench, empty: Bench
) -> None:
    assert f"files/{sha256(OLD_FILM).hexdigest()}" in members_of(full.write())
    full.kept.place(sha256(OLD_FILM).hexdigest()).unlink()
    data = full.write()
    assert b"old.dcm" not in members_of(data)["files.jsonl"]
    empty.read(data)
    assert empty.write() == data


def test_a_case_whose_bytes_are_lost_is_not_written(full: Bench) -> None:
    full.kept.place(HASH).write_bytes(FILM[:-1])
    with pytest.raises(StoreError, match="bytes have changed"):
        full.write()
    full.kept.place(HASH).unlink()
    with pytest.raises(StoreError, match="not in the folder"):
        full.write()


def test_a_case_that_is_not_what_its_history_adds_up_to_is_not_written(full: Bench) -> None:
    with full.database.writing() as connection:
        connection.execute(text("UPDATE parts SET document = '{}' WHERE part = 'facts'"))
    with pytest.raises(BundleError, match="not what the history adds up to"):
        full.write()


def test_a_case_that_is_not_there_is_not_written(full: Bench) -> None:
    with pytest.raises(NoSuchCaseError):
        full.write("nobody")


def test_taking_in_the_same_case_twice_changes_nothing(full: Bench, empty: Bench) -> None:
    data = full.write()
    empty.read(data)
    empty.issue("a1", b"a paper more")
    before = empty.everything()
    assert empty.read(data) == "a1"
    assert empty.everything() == before


def test_another_case_of_the_same_key_is_refused(full: Bench, empty: Bench) -> None:
    empty.cases.begin("Dr A", "new", {Part.FACTS: {"case_id": "other"}}, key="a1")
    assert_refused(empty, full.write(), "with another history is there already")


def test_what_the_case_there_lacks_is_not_dropped_in_silence(full: Bench, empty: Bench) -> None:
    empty.read(full.write())
    full.add("a1", "new.dcm", b"new")
    assert_refused(empty, full.write(), "other films")
    full.issue("a1")
    assert_refused(empty, full.write(), "other papers")


def test_nobody_takes_in_a_bundle(full: Bench, empty: Bench) -> None:
    with pytest.raises(BundleError, match="by nobody"):
        empty.read(full.write(), who=" ")


def test_bytes_that_changed_on_the_disk_here_stop_the_case(full: Bench, empty: Bench) -> None:
    empty.kept.keep(FILM)
    empty.kept.place(HASH).write_bytes(b"rot")
    with pytest.raises(StoreError, match="bytes have changed"):
        empty.read(full.write())
    assert empty.cases.cases() == ()


@pytest.mark.parametrize("member", ["changes.jsonl", "parts/facts.json", FILM_MEMBER])
def test_a_flipped_byte_of_a_member_is_refused(full: Bench, empty: Bench, member: str) -> None:
    members = members_of(full.write())
    data = bytearray(members[member])
    data[len(data) // 2] ^= 1
    assert_refused(empty, zipped(members | {member: bytes(data)}), "bytes have changed")


@pytest.mark.parametrize(
    "member", ["bundle.json", "changes.jsonl", "files.jsonl", "parts/films.json", FILM_MEMBER]
)
@pytest.mark.parametrize("listed", [True, False])
def test_a_missing_member_is_refused(
    full: Bench, empty: Bench, member: str, *, listed: bool
) -> None:
    members = members_of(full.write())
    if not listed and member != "bundle.json":
        members = relisted({name: one for name, one in members.items() if name != member})
    members.pop(member, None)
    assert_refused(empty, zipped(members), "without|lacks")


@pytest.mark.parametrize("listed", [True, False])
def test_an_extra_member_is_refused(full: Bench, empty: Bench, *, listed: bool) -> None:
    extra = f"files/{sha256(b'extra').hexdigest()}"
    members = members_of(full.write()) | {extra: b"extra"}
    words = "belongs to no row" if listed else "not listed"
    assert_refused(empty, zipped(relisted(members) if listed else members), words)


@pytest.mark.parametrize(
    "name", ["../evil", "/evil", "files/../../evil", "C:\\evil", "files/", "notes.txt", "FILES/x"]
)
def test_a_name_that_leads_elsewhere_is_refused(full: Bench, empty: Bench, name: str) -> None:
    members = relisted(members_of(full.write()) | {name: b"x"})
    assert_refused(empty, zipped(members), "no way out of the bundle")


def test_a_member_that_is_there_twice_is_refused(full: Bench, empty: Bench) -> None:
    out = BytesIO(full.write())
    with (
        ZipFile(out, "a") as archive,
        pytest.warns(UserWarning, match="Duplicate name"),
    ):
        archive.writestr("changes.jsonl", b"")
    assert_refused(empty, out.getvalue(), "twice")


def test_bytes_of_another_hash_than_their_name_are_refused(full: Bench, empty: Bench) -> None:
    members = relisted(members_of(full.write()) | {FILM_MEMBER: b"other"})
    assert_refused(empty, zipped(members), "bytes have changed")


@pytest.mark.parametrize("share", [0.0, 0.3, 0.9, 0.999])
def test_a_truncated_bundle_is_refused(full: Bench, empty: Bench, share: float) -> None:
    data = full.write()
    assert_refused(empty, data[: int(len(data) * share)], "no whole zip file")


@pytest.mark.parametrize("data", [b"", b"no zip", b"PK\x03\x04" * 50, bytes(1000)])
def test_what_is_no_zip_file_is_refused(empty: Bench, data: bytes) -> None:
    assert_refused(empty, data, "no whole zip file")


def test_a_zip_file_that_is_no_bundle_is_refused(empty: Bench) -> None:
    assert_refused(empty, zipped({}), r"without bundle\.json")


def test_a_zip_bomb_is_refused_before_it_is_unpacked(full: Bench, empty: Bench) -> None:
    bomb = bytes(20 * 1024**2)
    members = members_of(full.write()) | {f"files/{sha256(bomb).hexdigest()}": bomb}
    assert_refused(empty, zipped(relisted(members)), "that grows from")


def test_more_than_the_limits_is_neither_read_nor_written(
    full: Bench, empty: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    data = full.write()
    for limit, least in (("MOST_MEMBERS", 12), ("LARGEST_BYTES", 4000)):
        with monkeypatch.context() as patch:
            patch.setattr(bundle_check, limit, least)
            assert_refused(empty, data, "fewer than|that grows from")
            with pytest.raises(BundleError, match="fewer than"):
                full.write()


def swapped(member: str, old: str, new: str) -> Callable[[Members], Members]:
    def change(members: Members) -> Members:
        assert old.encode() in members[member], members[member]
        return members | {member: members[member].replace(old.encode(), new.encode(), 1)}

    return change


def without_line(member: str, at: int) -> Callable[[Members], Members]:
    def change(members: Members) -> Members:
        lines = members[member].splitlines(keepends=True)
        return members | {member: b"".join(lines[:at] + lines[at + 1 :])}

    return change


WRONG = {
    "format": (swapped("bundle.json", "bundle/1", "bundle/2"), "for format"),
    "key": (swapped("bundle.json", '"a1"', '"../a"'), "for case_key"),
    "begun": (swapped("bundle.json", "+00:00", ""), "for created_at"),
    "archive": (swapped("bundle.json", "false", "true"), "two things of the archive"),
    "number": (swapped("changes.jsonl", '"number":2', '"number":7'), "wrong numbers"),
    "no number": (swapped("changes.jsonl", '"number":2', '"number":true'), "for number"),
    "first": (without_line("changes.jsonl", 0), "wrong numbers"),
    "last": (without_line("changes.jsonl", 2), "not what the history adds up to|later version"),
    "after": (swapped("changes.jsonl", '"after":"daily', '"after":"never'), "does not follow"),
    "before": (swapped("changes.jsonl", '"before":{}', '"before":{"a":1}'), "does not follow"),
    "undoes": (swapped("changes.jsonl", '"undoes":2', '"undoes":3'), "does not follow"),
    "path": (swapped("changes.jsonl", '"smoking"]', "0]"), "cannot be followed|does not follow"),
    "part": (swapped("changes.jsonl", '"part":"facts"', '"part":"soul"'), "for part"),
    "time": (swapped("changes.jsonl", '"made_at":"2026', '"made_at":"soon'), "for made_at"),
    "document": (swapped("parts/facts.json", "A-1", "A-9"), "adds up to"),
    "type": (swapped("parts/facts.json", "true", "1"), "adds up to"),
    "list": (lambda members: members | {"parts/films.json": b"[]\n"}, "no table"),
    "spaces": (swapped("parts/films.json", "{}", "{ }"), "another way"),
    "twice": (swapped("parts/facts.json", '"case_id"', '"a":1,"a":1,"case_id"'), "another way"),
    "not a number": (swapped("parts/facts.json", "1.5", "NaN"), "no JSON"),
    "not text": (lambda members: members | {"parts/films.json": b'{"\xff":1}'}, "no JSON"),
    "deep": (swapped("parts/films.json", "{}", '{"a":' + "[" * 9999 + "]" * 9999 + "}"), "JSON"),
    "last line": (lambda members: members | {"files.jsonl": b"{}"}, "last line"),
    "file name": (swapped("files.jsonl", '"hand.dcm"', '"../x.dcm"'), "for name"),
    "same name": (swapped("files.jsonl", '"hand.png"', '"hand.dcm"'), "out of order"),
    "size": (swapped("files.jsonl", '"size_bytes":4000', '"size_bytes":1'), "with a size"),
    "kind": (swapped("files.jsonl", '"film"', '"page"'), "for kind"),
    "paper": (swapped("papers.jsonl", '"number":1', '"number":2'), "papers with wrong"),
    "version": (swapped("papers.jsonl", '"version":2', '"version":9'), "later version"),
    "more": (swapped("papers.jsonl", '"kind"', '"kinder":1,"kind"'), "another way|for kinder"),
    "no bytes": (swapped("files.jsonl", HASH, "0" * 64), "lacks|belongs to no row"),
}


@pytest.mark.parametrize("case", WRONG)
def test_what_does_not_agree_is_refused_though_its_hashes_do(
    full: Bench, empty: Bench, case: str
) -> None:
    change, words = WRONG[case]
    assert_refused(empty, zipped(relisted(change(members_of(full.write())))), words)


SMALL = settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)


@settings(SMALL, max_examples=200)
@given(at=st.integers(0, 10**6), flip=st.integers(1, 255))
def test_a_flipped_byte_anywhere_is_refused_or_changes_nothing(
    full: Bench, empty: Bench, at: int, flip: int
) -> None:
    good = full.write()
    data = bytearray(good)
    data[at % len(data)] ^= flip
    before = empty.everything()
    try:
        empty.read(bytes(data))
    except BundleError as refusal:
        assert "; allowed is " in str(refusal)  # noqa: PT017  any other refusal fails
        assert empty.everything() == before
    else:
        assert empty.write() == good


KEYS = st.sampled_from(["a", "b", "ü"])
LEAVES = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
LEAVES = LEAVES.filter(lambda one: one not in (float("inf"), -float("inf")))
VALUES = st.recursive(
    LEAVES, lambda one: st.lists(one, max_size=3) | st.dictionaries(KEYS, one), max_leaves=5
)
EDITS = st.lists(
    st.tuples(st.sampled_from(Part), st.lists(KEYS, min_size=1, max_size=3), VALUES, st.text())
)
NUMBERS = count()


@SMALL
@given(edits=EDITS, films=st.lists(st.binary(max_size=50), max_size=3), away=st.booleans())
def test_any_history_comes_over_whole(
    full: Bench,
    empty: Bench,
    edits: list[tuple[Part, list[str], Value, str]],
    films: list[bytes],
    *,
    away: bool,
) -> None:
    key = f"case-{next(NUMBERS)}"
    full.cases.begin("Dr A", "new", {Part.FACTS: {"case_id": key}}, key=key)
    for part, path, value, why in edits:
        edit = Edit(path=tuple(path), value=value)
        try:
            full.cases.record(key, part, [edit], "B", why, based_on=10_000)
        except StoreError as refusal:
            assert "is no entry" in str(refusal)  # noqa: PT017  any other refusal fails
    for number, film in enumerate(films):
        full.add(key, f"{number}.dcm", film)
        full.issue(key, film) if full.cases.case(key).version >= 2 else None
    full.cases.put_away(key, away=away)
    data = full.write(key)
    empty.read(data)
    assert empty.write(key) == data
    assert empty.cases.case(key) == full.cases.case(key)
    assert empty.troubles() == ()
