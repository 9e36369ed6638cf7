"""The five invented people: their cases, their films, and the command that shows them."""

import json
import subprocess
import sys
from functools import partial
from pathlib import Path

import pytest
from click.testing import CliRunner

from thumbwright.bootstrap import read_whole_case
from thumbwright.cli.commands import commands
from thumbwright.core.case.examined import Finding
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import Landmark
from thumbwright.demo import films, making
from thumbwright.demo.films import films_of
from thumbwright.demo.making import make_case
from thumbwright.demo.people import DAY, PEOPLE, Person
from thumbwright.phantom.dicom_writer import InventedIdentity
from thumbwright.phantom.projection import centred_geometry

CASES = Path(making.__file__).parent / "cases"
GIRL = next(person for person in PEOPLE if person.key == "girl")
FITTER = next(person for person in PEOPLE if person.key == "fitter")
FILMS = {"hand_left.dcm", "hand_right.dcm", "foot_left.dcm", "foot_right.dcm"}


@pytest.fixture(name="coarse")
def fixture_coarse(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let films be of few pixels, which is quick."""
    monkeypatch.setattr(films, "centred_geometry", partial(centred_geometry, pitch_mm=(0.5, 0.5)))


@pytest.mark.parametrize("person", PEOPLE, ids=lambda person: person.key)
def test_each_person_has_a_sound_case_of_the_same_side(person: Person) -> None:
    case = read_whole_case(CASES / f"{person.key}.toml")
    assert case.case_id == f"demo-{person.key}"
    assert case.injury.side is person.injured
    assert (case.kept.cmc.present is Finding.YES) == person.cmc_kept
    assert case.examined_on <= DAY


def test_there_is_no_case_without_a_person() -> None:
    assert {file.stem for file in CASES.glob("*.toml")} == {person.key for person in PEOPLE}


@pytest.mark.usefixtures("coarse")
def test_both_hands_and_both_feet_are_filmed_and_marked_by_three_observers() -> None:
    made = list(films_of(GIRL))
    assert {film.note.file for film in made} == FILMS
    for film in made:
        assert len({one.observer for one in film.note.placements}) == 3
        assert all(one.confirmed for one in film.note.placements)
        assert film.note.side is film.picture.truth.side


@pytest.mark.usefixtures("coarse")
def test_on_a_hand_without_a_basal_joint_no_point_of_the_thumb_is_placed() -> None:
    gone = {Landmark.METACARPAL_BASE, Landmark.METACARPAL_HEAD, Landmark.STUMP_BONE_END}
    hands = {
        film.note.side: film.note for film in films_of(FITTER) if film.note.region is Region.HAND
    }
    for placement in hands[FITTER.injured].placements:
        assert not gone & set(placement.points)
    for placement in hands[FITTER.injured.other].placements:
        assert Landmark.METACARPAL_BASE in placement.points


@pytest.mark.usefixtures("coarse")
def test_a_case_is_made_the_same_each_time_and_tells_no_invented_name(tmp_path: Path) -> None:
    made = [make_case(GIRL, tmp_path / name, lambda _: None) for name in ("one", "two")]
    first, again = ({file.name: file.read_bytes() for file in one.iterdir()} for one in made)
    assert set(first) == FILMS | {"films.json"}
    assert first == again
    who = InventedIdentity()
    for name in FILMS:
        for word in (who.patient_name, who.patient_id, who.institution, who.comment):
            assert word.encode() not in first[name]


@pytest.mark.usefixtures("coarse")
def test_the_demonstration_makes_plans_and_prints_them_whatever_the_clock_says(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def clock() -> None:
        msg = "the clock was read"
        raise AssertionError(msg)

    monkeypatch.setattr("thumbwright.bootstrap.today", clock)
    monkeypatch.setattr("thumbwright.cli.planning.today", clock)
    monkeypatch.setattr("thumbwright.cli.showing.PEOPLE", (GIRL,))
    shown = CliRunner().invoke(commands, ["demo", "--out", str(tmp_path)])
    assert shown.exit_code == 0, shown.output
    assert "Girl 7 (demo-girl), 7 years 6 months, LEFT hand" in shown.output
    assert "plan A   second toe" in shown.output
    assert "The people are invented. The program decides nothing" in shown.output
    plans = {file.name for file in (tmp_path / "plans").iterdir()}
    assert plans == {"demo-girl-plan.pdf", "demo-girl-plan.json"}
    written = json.loads((tmp_path / "plans" / "demo-girl-plan.json").read_text("utf-8"))
    assert written["issued_on"] == DAY.isoformat()


def run_demo(out: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "thumbwright", "demo", "--out", out],
        capture_output=True,
        text=True,
        check=False,
    )


def test_a_file_in_the_way_of_the_demonstration_is_named(tmp_path: Path) -> None:
    (tmp_path / "cases").write_text("in the way", "utf-8")
    refused = run_demo(tmp_path)
    assert refused.returncode == 2
    assert "could not be" in refused.stderr
    assert "choose another with --out" in refused.stderr
    assert "Traceback" not in refused.stderr


@pytest.mark.long
def test_the_whole_demonstration_runs_as_a_user_starts_it(tmp_path: Path) -> None:
    shown = run_demo(tmp_path)
    assert shown.returncode == 0, shown.stderr
    for person in PEOPLE:
        assert f"(demo-{person.key})" in shown.stdout
        paper = tmp_path / "plans" / f"demo-{person.key}-plan.pdf"
        assert paper.read_bytes().startswith(b"%PDF")
        assert {file.name for file in (tmp_path / "cases" / person.key / "films").iterdir()} == (
            FILMS | {"films.json"}
        )
    # At full size of the films the missing length of each is known to less than 1.5 mm.
    for person in PEOPLE:
        written = json.loads(
            (tmp_path / "plans" / f"demo-{person.key}-plan.json").read_text("utf-8")
        )
        missing = written["glance"]["missing_length"]
        assert (missing["high"] - missing["low"]) / 2 < 1.5
