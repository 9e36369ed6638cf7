"""The command that looks ahead: what it prints, what it writes, and what it refuses."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

Start = Callable[..., Any]
DAY = "2026-11-20"


def test_it_says_a_line_for_each_technique_and_writes_two_files(
    start: Start, girl: Path, tmp_path: Path
) -> None:
    words = ("ahead", girl / "case.toml", "--films", girl / "films", "--out", tmp_path / "out")
    said = start(*words, "--day", DAY)
    assert said.code == 0
    assert "the second toe" in said.out
    assert "first in " in said.out
    assert "against the other thumb when grown" in said.out
    assert {one.name for one in (tmp_path / "out").iterdir()} == {
        "demo-girl-ahead.pdf",
        "demo-girl-ahead.json",
    }


def test_prices_of_the_unit_are_counted_and_named(start: Start, girl: Path, tmp_path: Path) -> None:
    prices = tmp_path / "prices.toml"
    prices.write_text(
        'currency = "EUR"\n[prices]\ntheatre_hour = 900\nhospital_day = 400\noperation = 500\n'
        "visit = 50\n",
        "utf-8",
    )
    words = ("ahead", girl / "case.toml", "--films", girl / "films", "--out", tmp_path / "out")
    said = start(*words, "--day", DAY, "--prices", prices)
    assert said.code == 0
    report = json.loads((tmp_path / "out" / "demo-girl-ahead.json").read_text("utf-8"))
    assert "prices.toml" in [one["name"] for one in report["inputs"]]
    assert " EUR" in json.dumps(report["sections"])


def test_a_faulty_price_list_stops_it_with_every_fault(
    start: Start, girl: Path, tmp_path: Path
) -> None:
    prices = tmp_path / "prices.toml"
    prices.write_text("[prices]\ntheatre_hour = -1\n[devices]\nmagic = 3\n", "utf-8")
    words = ("ahead", girl / "case.toml", "--films", girl / "films", "--out", tmp_path / "out")
    said = start(*words, "--prices", prices)
    assert said.code != 0
    assert "theatre_hour" in said.err
    assert "magic" in said.err
    assert not (tmp_path / "out").exists()
