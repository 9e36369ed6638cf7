"""Copies are listed and put back by command, while no workbench holds the store."""

import datetime as dt
from contextlib import closing
from pathlib import Path

import pytest
from tests.cli.conftest import Start

from thumbwright.storage.holding import held, tell_where
from thumbwright.storage.records import Edit, Part
from thumbwright.web.desk import Desk

NOW = dt.datetime(2026, 11, 25, 9, 0, tzinfo=dt.UTC)


@pytest.fixture(name="store")
def fixture_store(tmp_path: Path) -> Path:
    """Give a store whose case was changed after it was copied."""
    with closing(Desk(tmp_path, lambda: NOW)) as desk:
        facts = {"patient": {"pseudonym": "before"}}
        key = desk.cases.begin("A", "", {Part.FACTS: facts}, key="one").key  # type: ignore[dict-item]
        desk.back_up()
        edit = Edit(path=("patient", "pseudonym"), value="after")
        desk.cases.record(key, Part.FACTS, [edit], "A", "", based_on=1)
    return tmp_path


def name_in(store: Path) -> str:
    with closing(Desk(store, lambda: NOW)) as desk:
        assert desk.troubles(read_files=True) == ()
        return desk.cases.case("one").row.name


def copies(store: Path) -> list[str]:
    return sorted(place.name for place in (store / "backups").iterdir())


def test_copies_are_listed_when_none_is_named(start: Start, store: Path) -> None:
    said = start("restore", "--store", store)
    assert said.code == 0
    assert copies(store)[0] in said.out
    assert "1 case, not read back" in said.out


def test_a_copy_is_put_back_and_so_is_what_was_there(start: Start, store: Path) -> None:
    (first,) = copies(store)
    said = start("restore", "--store", store, "--copy", first)
    assert said.code == 0
    assert "no longer there: after: 1 change" in said.out
    assert name_in(store) == "before"
    (second,) = set(copies(store)) - {first}
    assert f"What was there before is the copy {second}." in said.out
    assert "read back whole" in start("restore", "--store", store).out
    assert start("restore", "--store", store, "--copy", second).code == 0
    assert name_in(store) == "after"


def test_nothing_is_put_back_while_a_workbench_holds_the_store(start: Start, store: Path) -> None:
    with held(store):
        tell_where(store, "http://127.0.0.1:9/")
        said = start("restore", "--store", store, "--copy", copies(store)[0])
    assert said.code == 2
    assert "held by the workbench at http://127.0.0.1:9/" in said.err
    assert name_in(store) == "after"


def test_a_damaged_store_is_put_aside_in_favour_of_a_copy(start: Start, store: Path) -> None:
    for place in (store / "store").glob("cases.db*"):
        place.write_bytes(b"broken" * 200)
    said = start("restore", "--store", store, "--copy", copies(store)[0])
    assert said.code == 0
    assert "cannot be opened" in said.err
    assert "store-before-" in said.out
    assert name_in(store) == "before"


@pytest.mark.parametrize("name", ["nothing", "../store", ""])
def test_a_copy_that_is_not_there_is_refused(start: Start, store: Path, name: str) -> None:
    said = start("restore", "--store", store, "--copy", name)
    assert said.code == 2
    assert "no copy is called" in said.err


def test_a_folder_that_is_none_is_refused_and_not_made(start: Start, tmp_path: Path) -> None:
    said = start("restore", "--store", tmp_path / "nowhere")
    assert said.code == 2
    assert "allowed is the folder that the workbench was opened on" in said.err
    assert not (tmp_path / "nowhere").exists()
