"""Whatever is given, a refusal says what was given, what is allowed and what to do, in words."""

import json
import re
from collections.abc import Callable
from pathlib import Path
from tempfile import gettempdir
from typing import Any

import pytest

Start = Callable[..., Any]
Spoil = Callable[[Path], None]
GARBAGE = bytes(range(256)) * 40


def write(name: str, data: bytes) -> Spoil:
    def spoil(girl: Path) -> None:
        (girl / name).write_bytes(data)

    return spoil


def drop(name: str) -> Spoil:
    return lambda girl: (girl / name).unlink()


def replace(name: str, old: str, new: str) -> Spoil:
    def spoil(girl: Path) -> None:
        text = (girl / name).read_text("utf-8")
        assert old in text
        (girl / name).write_text(text.replace(old, new, 1), "utf-8")

    return spoil


def point_outside(girl: Path) -> None:
    place = girl / "films" / "films.json"
    listed = json.loads(place.read_text("utf-8"))
    listed["films"][0]["placements"][1]["points"]["metacarpal_base"] = [99_999, 5]
    place.write_text(json.dumps(listed), "utf-8")


def as_folder(name: str) -> Spoil:
    def spoil(girl: Path) -> None:
        (girl / name).unlink()
        (girl / name).mkdir()

    return spoil


# What is spoilt, and the words with which it is named, what is allowed, and what to do.
REFUSALS: dict[str, tuple[Spoil, tuple[str, str, str]]] = {
    "no case": (
        drop("case.toml"),
        ("case.toml", "allowed is a file that may be read", "check the name"),
    ),
    "a folder as case": (
        as_folder("case.toml"),
        ("case.toml", "allowed is a file that may be read", "check the name"),
    ),
    "garbage as case": (write("case.toml", GARBAGE), ("case.toml has 1 fault", "allowed", "UTF-8")),
    "an empty case": (write("case.toml", b""), ("case.toml has", "allowed", "thumbwright_case")),
    "a case with a wrong word": (
        replace("case.toml", 'mechanism = "crush"', 'mechanism = "bad luck"'),
        ("injury.mechanism", "bad luck", "crush"),
    ),
    "a contradiction": (
        replace("case.toml", '[kept.cmc]\npresent = "yes"', '[kept.cmc]\npresent = "no"'),
        ("kept.cmc.present", "allowed", "kept.cmc.mobile"),
    ),
    "no list of films": (
        drop("films/films.json"),
        ("no list of films", "films.toml or films.json", "name the folder"),
    ),
    "two lists of films": (
        write("films/films.toml", b""),
        ("films.toml and films.json", "allowed: one of", "name the folder"),
    ),
    "a broken list": (write("films/films.json", b"{"), ("films.json has 1 fault", "allowed", "")),
    "a missing film": (
        drop("films/foot_left.dcm"),
        ("foot_left.dcm: no such file", "allowed: a file in the folder", "put the film there"),
    ),
    "a folder as film": (
        as_folder("films/foot_left.dcm"),
        ("foot_left.dcm: a folder", "allowed", "correct its name"),
    ),
    "garbage as film": (
        write("films/foot_left.dcm", GARBAGE),
        ("foot_left.dcm", "allowed: DICOM, PNG, JPEG and TIFF", "export the film"),
    ),
    "an unknown landmark": (
        replace("films/films.json", '"metacarpal_base"', '"metacarpal_bose"'),
        ("metacarpal_bose", "metacarpal_base", ""),
    ),
    "a point outside its film": (
        point_outside,
        ("films[0].placements[1].points.metacarpal_base", "allowed: columns 0 to", "count from 0"),
    ),
}


@pytest.mark.parametrize("name", REFUSALS)
@pytest.mark.parametrize("command", ["plan", "check"])
def test_a_spoilt_input_is_refused_in_words(
    start: Start, girl: Path, tmp_path: Path, command: str, name: str
) -> None:
    spoil, (given, allowed, to_do) = REFUSALS[name]
    spoil(girl)
    words: list[object] = [command, girl / "case.toml", "--films", girl / "films"]
    if command == "plan":
        words += ["--out", tmp_path / "papers"]
    said = start(*words)
    assert said.code == 2
    assert "Traceback" not in said.err
    for part in (given, allowed, to_do):
        assert part in said.err, part
    assert said.out == ""
    assert not (tmp_path / "papers").exists()


def test_all_faults_of_a_case_are_named_at_once(start: Start, girl: Path) -> None:
    replace("case.toml", 'mechanism = "crush"', 'mechanism = "bad luck"')(girl)
    replace("case.toml", "asa_class = 1", "asa_class = 9")(girl)
    replace("case.toml", "height_cm = 124", "hight_cm = 124")(girl)
    said = start("check", girl / "case.toml")
    assert said.code == 2
    assert "case.toml has 3 faults" in said.err
    for place in ("injury.mechanism", "patient.asa_class", "hight_cm"):
        assert place in said.err


@pytest.mark.parametrize(
    ("words", "named"),
    [
        (("plan",), "Missing argument 'CASE'"),
        (("plan", "c.toml"), "Missing option '--films'"),
        (("plan", "c.toml", "--films", "f"), "Missing option '--out'"),
        (
            ("plan", "c.toml", "--films", "f", "--out", "o", "--day", "20.11.2026"),
            "'20.11.2026' was given; allowed is a day as year-month-day, such as 2026-11-20",
        ),
        (("plan", "c.toml", "--films", "f", "--out", "o", "--day", "2026-02-30"), "2026-02-30"),
        (("plan", "c.toml", "--colour", "red"), "No such option"),
        (("intake", "--out", "o"), "Missing argument"),
        (("propose", "x.dcm", "--films", "f", "--ray", "nose"), "'thumb', 'great toe'"),
        (
            ("propose", "x.dcm", "--films", "f", "--ray", "thumb", "--line", "1", "2", "3"),
            "requires 4 arguments",
        ),
        (
            ("propose", "x", "--films", "f", "--ray", "thumb", "--line", "a", "2", "3", "4"),
            "'a' is not a valid float",
        ),
        (("frobnicate",), "No such command 'frobnicate'"),
        (("demo",), "Missing option '--out'"),
    ],
)
def test_a_wrong_command_line_is_refused_with_a_hint_at_help(
    start: Start, words: tuple[str, ...], named: str
) -> None:
    said = start(*words)
    assert said.code == 2
    assert named in said.err
    assert "--help" in said.err or "Option" in said.err
    assert "Traceback" not in said.err


def test_a_fault_of_the_program_itself_is_said_in_words_and_its_trace_is_kept(
    start: Start, girl: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object) -> None:
        msg = "a divisor was nought"
        raise ZeroDivisionError(msg)

    monkeypatch.setattr("thumbwright.cli.checking.read_whole_case", broken)
    said = start("check", girl / "case.toml")
    assert said.code == 3
    assert "Traceback" not in said.err
    assert "a divisor was nought" not in said.err
    assert "The program itself is at fault (ZeroDivisionError)" in said.err
    place = re.search(r"kept in (\S+\.txt);", said.err)
    assert place
    kept = Path(place[1])
    try:
        assert kept.is_relative_to(gettempdir())
        assert "a divisor was nought" in kept.read_text("utf-8")
    finally:
        kept.unlink()


def test_a_stopped_program_ends_without_a_trace(
    start: Start, girl: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("thumbwright.cli.checking.read_whole_case", stopped)
    said = start("check", girl / "case.toml")
    assert said.code == 1
    assert "Traceback" not in said.err


def test_a_sound_case_is_said_to_be_sound(start: Start, girl: Path) -> None:
    alone = start("check", girl / "case.toml")
    assert alone.code == 0
    assert "the case demo-girl is sound; no film was looked at" in alone.out
    both = start("check", girl / "case.toml", "--films", girl / "films")
    assert both.code == 0
    assert "the case demo-girl and its 4 films are sound" in both.out
