"""Copies of films without the person: what is kept, what is held back, what is never lost."""

import stat
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pydicom
import pytest
from tests.pathway.five_cases import Built

from thumbwright.phantom.dicom_writer import InventedIdentity, write_dicom

Start = Callable[..., Any]
IDENTITY = InventedIdentity(
    patient_name="Kettlewell^Una",
    patient_id="KT442781",
    birth_date="19700229",
    institution="Kettle House",
    referring_physician="Ketch^Sender",
    operator="Ketch^Taker",
    accession_number="ACC9920017",
    comment="Una Kettlewell, 3 Kettle Lane",
)
TELLING = (b"Kettle", b"KT442781", b"19700229", b"Ketch", b"ACC9920017")
UIDS = ("StudyInstanceUID", "SeriesInstanceUID", "SOPInstanceUID")


@pytest.fixture(name="films")
def fixture_films(five: dict[str, Built], tmp_path: Path) -> Path:
    """Return a folder of two films of one study that tell who the person is."""
    folder = tmp_path / "named"
    folder.mkdir()
    for name in ("hand_left.dcm", "foot_left.dcm"):
        file = folder / name
        write_dicom(five["girl"].pictures[name], file, identity=IDENTITY, unique=name)
        film = pydicom.dcmread(file)
        film.StudyInstanceUID = "1.2.3.4"
        film.save_as(file)
    return folder


def uids(file: Path) -> list[str]:
    film = pydicom.dcmread(file, stop_before_pixels=True)
    return [str(film[keyword].value) for keyword in UIDS]


def names_in(folder: Path) -> set[str]:
    return {file.name for file in folder.iterdir()} if folder.exists() else set()


def test_of_the_person_nothing_is_left_and_of_the_picture_everything(
    start: Start, films: Path, tmp_path: Path
) -> None:
    out = tmp_path / "copies"
    said = start("intake", films / "hand_left.dcm", films / "foot_left.dcm", "--out", out)
    assert said.code == 0
    assert "2 films were copied" in said.out
    assert "look at each picture" in said.out
    for name in ("hand_left.dcm", "foot_left.dcm"):
        before, after = (films / name).read_bytes(), (out / name).read_bytes()
        assert all(word in before for word in TELLING)
        assert not any(word in after for word in TELLING)
        first, copy = pydicom.dcmread(films / name), pydicom.dcmread(out / name)
        assert np.array_equal(first.pixel_array, copy.pixel_array)
        assert copy.ImageLaterality == first.ImageLaterality
        assert copy.PatientIdentityRemoved == "YES"


def test_a_repeated_intake_gives_the_same_identifiers_and_changes_nothing(
    start: Start, films: Path, tmp_path: Path
) -> None:
    out = tmp_path / "copies"
    start("intake", films / "hand_left.dcm", "--out", out)
    first = (out / "hand_left.dcm").read_bytes()
    again = start("intake", films / "hand_left.dcm", "--out", out)
    assert again.code == 0
    assert (out / "hand_left.dcm").read_bytes() == first
    assert "secret was drawn" not in again.out
    start("intake", films / "foot_left.dcm", "--out", out)
    hand, foot = uids(out / "hand_left.dcm"), uids(out / "foot_left.dcm")
    assert hand[0] == foot[0]
    assert hand[2] != foot[2]
    assert not set(hand) & set(uids(films / "hand_left.dcm"))


def test_one_secret_gives_one_identifier_in_every_folder_and_another_gives_another(
    start: Start, films: Path, tmp_path: Path
) -> None:
    secret = tmp_path / "secret of the unit"
    secret.write_bytes(b"at least sixteen bytes")
    hand = films / "hand_left.dcm"
    for out in ("one", "two"):
        start("intake", hand, "--out", tmp_path / out, "--secret-file", secret)
    start("intake", hand, "--out", tmp_path / "three")
    assert uids(tmp_path / "one" / hand.name) == uids(tmp_path / "two" / hand.name)
    assert uids(tmp_path / "one" / hand.name) != uids(tmp_path / "three" / hand.name)
    assert names_in(tmp_path / "one") == {"hand_left.dcm"}


def test_a_drawn_secret_is_for_its_owner_only_and_the_user_is_told_of_it(
    start: Start, films: Path, tmp_path: Path
) -> None:
    said = start("intake", films / "hand_left.dcm", "--out", tmp_path / "copies")
    kept = tmp_path / "copies" / ".secret"
    assert len(kept.read_bytes()) == 32
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600
    assert str(kept) in said.out
    assert "hand it on with none of them" in said.out


def test_a_film_with_writing_in_its_picture_is_held_back_until_a_person_has_looked(
    start: Start, films: Path, tmp_path: Path
) -> None:
    burnt = pydicom.dcmread(films / "foot_left.dcm")
    burnt.BurnedInAnnotation = "YES"
    burnt.save_as(films / "foot_left.dcm")
    both = (films / "hand_left.dcm", films / "foot_left.dcm")
    held = start("intake", *both, "--out", tmp_path / "copies")
    assert held.code == 2
    assert "foot_left.dcm" in held.err
    assert "look at it" in held.err
    assert names_in(tmp_path / "copies") == set()
    looked = start("intake", *both, "--out", tmp_path / "copies", "--burned-in-checked")
    assert looked.code == 0
    copy = pydicom.dcmread(tmp_path / "copies" / "foot_left.dcm")
    assert copy.BurnedInAnnotation == "NO"


def test_another_film_of_the_same_name_is_not_written_over(
    start: Start, films: Path, tmp_path: Path
) -> None:
    out = tmp_path / "copies"
    start("intake", films / "hand_left.dcm", "--out", out)
    before = (out / "hand_left.dcm").read_bytes()
    (films / "hand_left.dcm").write_bytes((films / "foot_left.dcm").read_bytes())
    said = start("intake", films / "foot_left.dcm", films / "hand_left.dcm", "--out", out)
    assert said.code == 2
    assert "hand_left.dcm would be written over another file" in said.err
    assert "choose another folder with --out, or rename the film" in said.err
    assert (out / "hand_left.dcm").read_bytes() == before
    assert names_in(out) == {".secret", "hand_left.dcm"}


def test_a_film_is_never_copied_over_itself(start: Start, films: Path) -> None:
    before = (films / "hand_left.dcm").read_bytes()
    said = start("intake", films / "hand_left.dcm", "--out", films)
    assert said.code == 2
    assert (films / "hand_left.dcm").read_bytes() == before
    assert ".secret" not in names_in(films)


@pytest.mark.parametrize("second", ["hand_left.dcm", "HAND_left.dcm"])
def test_two_films_of_one_name_are_refused(
    start: Start, films: Path, tmp_path: Path, second: str
) -> None:
    other = tmp_path / "elsewhere"
    other.mkdir()
    (other / second).write_bytes((films / "foot_left.dcm").read_bytes())
    said = start("intake", films / "hand_left.dcm", other / second, "--out", tmp_path / "copies")
    assert said.code == 2
    assert str(other / second) in said.err
    assert "allowed is each file name once" in said.err
    assert names_in(tmp_path / "copies") == set()


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"no film at all", "allowed are DICOM, PNG, JPEG and TIFF"),
        (b"", "allowed"),
        (None, "cannot be opened"),
    ],
)
def test_what_is_no_film_is_refused_and_nothing_is_kept(
    start: Start, films: Path, tmp_path: Path, data: bytes | None, words: str
) -> None:
    bad = films / "bad.dcm"
    if data is None:
        bad.mkdir()
    else:
        bad.write_bytes(data)
    said = start("intake", films / "hand_left.dcm", bad, "--out", tmp_path / "copies")
    assert said.code == 2
    assert "bad.dcm" in said.err
    assert words in said.err
    assert names_in(tmp_path / "copies") == set()


def test_a_short_secret_and_a_missing_one_are_refused(
    start: Start, films: Path, tmp_path: Path
) -> None:
    short = tmp_path / "short"
    short.write_bytes(b"abc")
    out = tmp_path / "copies"
    said = start("intake", films / "hand_left.dcm", "--out", out, "--secret-file", short)
    assert (said.code, "at least 16" in said.err) == (2, True)
    gone = start("intake", films / "hand_left.dcm", "--out", out, "--secret-file", tmp_path / "no")
    assert (gone.code, "the unit's secret" in gone.err) == (2, True)
    assert names_in(out) == set()
