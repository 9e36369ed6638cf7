"""The command that plans a case: what it prints, what it writes, and that it leaves no rubble."""

import errno
import json
import os
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from tests.pathway.five_cases import Built

from thumbwright import bootstrap
from thumbwright.core.foundations.errors import KnowledgeError

Start = Callable[..., Any]
DAY = "2026-11-20"


def files_in(folder: Path) -> dict[str, bytes]:
    return {file.name: file.read_bytes() for file in folder.iterdir()} if folder.exists() else {}


@pytest.fixture(name="plan")
def fixture_plan(start: Start, girl: Path) -> Start:
    """Return what plans the girl's case into a folder."""

    def plan(out: Path, *more: str) -> Any:  # noqa: ANN401  what the command said
        words = ("plan", girl / "case.toml", "--films", girl / "films", "--out", out)
        return start(*words, *(more or ("--day", DAY)))

    return plan


def test_a_plan_is_two_papers_and_a_few_lines(plan: Start, tmp_path: Path) -> None:
    out = tmp_path / "new" / "papers"
    said = plan(out)
    assert said.code == 0
    assert set(files_in(out)) == {"demo-girl-plan.pdf", "demo-girl-plan.json"}
    for words in (
        "Girl 7 (demo-girl), 7 years 6 months, LEFT hand",
        "level 3, at or about the MCP joint",
        "plan A   second toe",
        "plan B   staged osteoplastic reconstruction",
        "unknown  findings that nobody has looked for; settled by injured thumb: two-point",
        "cut      LEFT second toe:",
        str(out / "demo-girl-plan.pdf"),
    ):
        assert words in said.out
    assert "great toe" not in said.out
    assert "reading film 1 of 4: hand_left.dcm" in said.err


def test_two_runs_of_one_day_write_the_same_bytes(plan: Start, tmp_path: Path) -> None:
    plan(tmp_path / "one")
    plan(tmp_path / "two")
    assert len(files_in(tmp_path / "one")) == 2
    assert files_in(tmp_path / "one") == files_in(tmp_path / "two")


def test_the_day_stands_in_the_paper_and_is_today_if_none_is_given(
    plan: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("thumbwright.cli.planning.today", lambda: date(2031, 2, 3))
    plan(tmp_path, "--day", "2027-01-31")
    written = json.loads((tmp_path / "demo-girl-plan.json").read_text("utf-8"))
    assert (written["issued_on"], written["age"]) == ("2027-01-31", "7 years 8 months")
    said = plan(tmp_path, "--day", DAY)
    assert said.code == 0


def test_every_input_is_named_with_its_hash(plan: Start, tmp_path: Path) -> None:
    plan(tmp_path)
    written = json.loads((tmp_path / "demo-girl-plan.json").read_text("utf-8"))
    names = [entry["name"] for entry in written["inputs"]]
    assert names[:2] == ["case.toml", "films.json"]
    assert len(names) == 6
    assert all(len(entry["sha256"]) == 64 for entry in written["inputs"])


def test_no_film_is_changed_by_a_plan(plan: Start, girl: Path, tmp_path: Path) -> None:
    before = files_in(girl / "films")
    plan(tmp_path / "papers")
    assert files_in(girl / "films") == before


def test_a_full_disk_leaves_the_old_papers_and_no_half_written_one(
    plan: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    out = tmp_path / "papers"
    plan(out)
    before = files_in(out)

    def full(*_: Path) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(Path, "replace", full)
    said = plan(out, "--day", "2027-01-01")
    assert said.code == 2
    assert "No space left on device" in said.err
    assert "choose another with --out" in said.err
    assert files_in(out) == before


def test_a_paper_that_cannot_be_made_leaves_the_other_unwritten_too(
    plan: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: object) -> str:
        msg = "the paper cites nothing; allowed is something; cite it"
        raise KnowledgeError(msg)

    monkeypatch.setattr(bootstrap, "write_json", broken)
    said = plan(tmp_path / "papers")
    assert said.code == 2
    assert files_in(tmp_path / "papers") == {}


def test_a_folder_that_may_not_be_written_to_is_refused_before_any_film_is_read(
    plan: Start, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(os, "access", lambda *_: False)
    said = plan(tmp_path / "papers")
    assert said.code == 2
    assert "may not be written to" in said.err
    assert "reading film" not in said.err


@pytest.mark.parametrize("place", ["case.toml", "case.toml/deeper"])
def test_a_file_is_no_folder_for_papers(plan: Start, girl: Path, place: str) -> None:
    said = plan(girl / place)
    assert said.code == 2
    assert "case.toml is no folder" in said.err
    assert (girl / "case.toml").is_file()


def test_case_words_that_differ_only_in_signs_keep_papers_of_their_own(
    plan: Start, girl: Path, tmp_path: Path
) -> None:
    text = (girl / "case.toml").read_text("utf-8")
    for word in ("11/4", "11_4"):
        changed = text.replace('case_id = "demo-girl"', f'case_id = "{word}"')
        (girl / "case.toml").write_text(changed, "utf-8")
        assert plan(tmp_path / "papers").code == 0
    assert len(files_in(tmp_path / "papers")) == 4


def test_a_plan_without_toes_in_question_prints_no_cut(
    start: Start, five: dict[str, Built], tmp_path: Path
) -> None:
    fitter = five["fitter"]
    said = start(
        *("plan", fitter.case_file, "--films", fitter.films, "--out", tmp_path, "--day", DAY)
    )
    assert said.code == 0
    assert "plan A   pollicization" in said.out
    assert "cut " not in said.out
