"""All films of a case out of one folder."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmsFileError
from thumbwright.core.radiograph.image import Region, View
from thumbwright.core.radiograph.landmarks import FilmNote, FilmNotes, Landmark, Placement, Ruler
from thumbwright.interchange import films_folder
from thumbwright.interchange.films_folder import read_films

MakeDicom = Callable[..., bytes]


def note(file: str, *points: tuple[float, float], ruler: Ruler | None = None) -> FilmNote:
    names = (Landmark.METACARPAL_BASE, Landmark.METACARPAL_HEAD)
    placed = dict(zip(names, points, strict=False))
    return FilmNote(
        file=file,
        region=Region.HAND,
        side=Side.RIGHT,
        view=View.POSTEROANTERIOR,
        ruler=ruler,
        placements=(Placement(observer="AB", points=placed),) if placed else (),
    )


def faults_of(folder: Path, *notes: FilmNote) -> list[str]:
    with pytest.raises(FilmsFileError) as caught:
        read_films(folder, FilmNotes(films=notes))
    return [str(fault) for fault in caught.value.faults]


def test_films_come_in_the_order_of_the_list_and_progress_is_told(
    tmp_path: Path, make_dicom: MakeDicom
) -> None:
    for name, value in (("b.dcm", 1), ("a.dcm", 2)):
        pixels = np.full((6, 8), value, dtype=np.uint16)
        (tmp_path / name).write_bytes(make_dicom(pixels, ImageLaterality="R", ViewPosition="PA"))
    told: list[tuple[int, int, str]] = []
    films = read_films(
        tmp_path,
        FilmNotes(films=(note("b.dcm", (0, 0), (7.5, 5.5)), note("a.dcm"))),
        lambda done, total, name: told.append((done, total, name)),
    )
    assert list(films) == ["b.dcm", "a.dcm"]
    assert [film.values[0, 0] for film in films.values()] == [1, 2]
    assert told == [(0, 2, "b.dcm"), (1, 2, "a.dcm"), (2, 2, "")]


def test_every_fault_of_every_film_is_told_at_once(tmp_path: Path, make_dicom: MakeDicom) -> None:
    good = make_dicom(ImageLaterality="R")
    (tmp_path / "good.dcm").write_bytes(good)
    (tmp_path / "twin.dcm").write_bytes(good)
    (tmp_path / "left.dcm").write_bytes(make_dicom(ImageLaterality="L"))
    (tmp_path / "broken.dcm").write_bytes(good[:-40])
    (tmp_path / "empty.dcm").write_bytes(b"")
    (tmp_path / "folder.dcm").mkdir()
    faults = faults_of(
        tmp_path,
        note("good.dcm", (7.6, 0), ruler=Ruler(start=(0, 0), end=(0, 6), length_mm=5)),
        note("twin.dcm"),
        note("left.dcm"),
        note("broken.dcm"),
        note("empty.dcm"),
        note("folder.dcm"),
        note("missing.dcm"),
    )
    assert [fault.partition(", allowed")[0].partition(";")[0] for fault in faults] == [
        "films[0].ruler.end: given column 0, row 6",
        "films[0].placements[0].points.metacarpal_base: given column 7.6, row 0",
        "films[1].file: given twin.dcm, which is the very same file as good.dcm",
        "films[2]: given left.dcm: the header says left, the list right",
        "films[3].file: given broken.dcm: 56 bytes of pixels",
        "films[4].file: given empty.dcm: an empty file",
        "films[5].file: given folder.dcm: a folder",
        "films[6].file: given missing.dcm: no such file",
    ]
    assert "allowed: columns 0 to 7 and rows 0 to 5, as [column, row]" in faults[0]


def test_a_film_outside_the_folder_is_never_opened(tmp_path: Path, make_dicom: MakeDicom) -> None:
    (tmp_path / "secret.dcm").write_bytes(make_dicom())
    inside = tmp_path / "films"
    inside.mkdir()
    for name in ("../secret.dcm", str(tmp_path / "secret.dcm"), "..", ".", "a\0b"):
        (fault,) = faults_of(inside, note(name))
        assert fault.startswith("films[0].file: given ")


def test_a_folder_that_is_not_there_is_a_fault_of_each_film(tmp_path: Path) -> None:
    (fault,) = faults_of(tmp_path / "nowhere", note("a.dcm"))
    assert "no such file; allowed: a file in the folder nowhere" in fault


def test_an_enormous_file_is_refused_unread(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(films_folder, "LARGEST_FILE_BYTES", 10)
    (tmp_path / "a.dcm").write_bytes(b"x" * 11)
    (fault,) = faults_of(tmp_path, note("a.dcm"))
    assert "a file of 11 bytes; allowed: at most 10 bytes" in fault


def test_a_file_that_may_not_be_read_is_a_fault(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    (tmp_path / "a.dcm").write_bytes(b"x")

    def refuse(_: Path) -> bytes:
        raise PermissionError

    monkeypatch.setattr(Path, "read_bytes", refuse)
    (fault,) = faults_of(tmp_path, note("a.dcm"))
    assert "cannot be opened (PermissionError)" in fault
