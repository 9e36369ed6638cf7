"""Writes an invented case and its films into a folder, by the same intake as real films."""

from collections.abc import Callable
from importlib.resources import files
from pathlib import Path
from tempfile import TemporaryDirectory

from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.demo.films import films_of
from thumbwright.demo.people import Person
from thumbwright.interchange.deidentify import deidentify
from thumbwright.interchange.films_list import write_film_notes
from thumbwright.phantom.dicom_writer import write_dicom

SECRET = b"the secret of a demo is none"
"""Stands in for the unit's secret, so that the demo's files are the same each time."""


def make_case(person: Person, folder: Path, tell: Callable[[str], None]) -> Path:
    """Write the case, its films without the invented names, and their list.

    Returns
    -------
    Path
        The folder of the films.
    """
    films = folder / "films"
    films.mkdir(parents=True, exist_ok=True)
    case = files("thumbwright") / "demo" / "cases" / f"{person.key}.toml"
    (folder / "case.toml").write_bytes(case.read_bytes())
    notes = []
    with TemporaryDirectory() as scratch:
        for number, film in enumerate(films_of(person), start=1):
            tell(f"film {number} of 4, {film.note.file}")
            named = Path(scratch) / film.note.file
            write_dicom(film.picture, named, unique=f"{person.key} {film.note.file}")
            copy = deidentify(named.read_bytes(), secret=SECRET, name=film.note.file)
            (films / film.note.file).write_bytes(copy)
            notes.append(film.note)
    (films / "films.json").write_text(write_film_notes(FilmNotes(films=tuple(notes))), "utf-8")
    return films
