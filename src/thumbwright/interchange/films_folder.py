"""All films of a case out of one folder, every fault of every film at once."""

from collections.abc import Callable, Iterator, Mapping
from functools import partial
from pathlib import Path

from thumbwright.core.foundations.errors import Fault, FilmError, FilmsFileError
from thumbwright.core.radiograph.image import Film
from thumbwright.core.radiograph.landmarks import FilmNote, FilmNotes
from thumbwright.core.radiograph.orientation import mismatches
from thumbwright.interchange.document_text import Place, path_of
from thumbwright.interchange.films import read_film
from thumbwright.interchange.films_limits import (
    LARGEST_FILE_BYTES,
    FilmRefusedError,
    refusal,
)
from thumbwright.interchange.films_list import EDGE_PX, outside

Progress = Callable[[int, int, str], None]
"""Called with films done, films in all, and the name of the next one."""


def read_films(
    folder: Path, notes: FilmNotes, progress: Progress | None = None
) -> Mapping[str, Film]:
    """Read every film of the list.

    Parameters
    ----------
    folder
        Where the films lie.
    notes
        The list of films.
    progress
        Called before each film, and once at the end with an empty name.

    Returns
    -------
    Mapping
        File name to film, in the order of the list.

    Raises
    ------
    FilmsFileError
        With every film that is missing, cannot be read, contradicts the list, is the same as
        another, or has points outside its picture.
    """
    return read_films_from(
        partial(_bytes_of, folder), notes, f"the films in {folder.name or 'the folder'}", progress
    )


def read_films_from(
    bytes_of: Callable[[str], bytes], notes: FilmNotes, name: str, progress: Progress | None = None
) -> Mapping[str, Film]:
    """Read every film of the list from wherever its bytes are.

    Parameters
    ----------
    bytes_of
        Returns the bytes of a file name, or raises FilmError.
    notes
        The list of films.
    name
        What to call them all in messages.
    progress
        As for :func:`read_films`.

    Raises
    ------
    FilmsFileError
        As for :func:`read_films`.
    """
    films: dict[str, Film] = {}
    faults: list[Fault] = []
    for at, note in enumerate(notes.films):
        if progress:
            progress(at, len(notes.films), note.file)
        place: Place = ("films", at)
        try:
            film = read_film(bytes_of(note.file), note.file)
        except FilmError as refused:
            faults.append(_fault((*place, "file"), note, refused))
            continue
        faults.extend(_faults_of(film, note, place, films))
        films[note.file] = film
    if progress:
        progress(len(notes.films), len(notes.films), "")
    if faults:
        raise FilmsFileError(name, tuple(faults))
    return films


def _bytes_of(folder: Path, file: str) -> bytes:
    path = folder / file
    try:
        if path.name != file or not path.is_file():
            raise refusal(
                file,
                given="no such file" if not path.is_dir() else "a folder",
                allowed=f"is a file in the folder {folder.name or folder}",
                advice="put the film there, or correct its name in the list",
            )
        size = path.stat().st_size
        if size > LARGEST_FILE_BYTES:
            raise refusal(
                file,
                given=f"a file of {size:,} bytes",
                allowed=f"are at most {LARGEST_FILE_BYTES:,} bytes",
                advice="export a single film, not a series",
            )
        return path.read_bytes()
    except (OSError, ValueError) as fault:
        raise refusal(
            file,
            given=f"a file that cannot be opened ({type(fault).__name__})",
            allowed="is a file that may be read",
            advice="see to its permissions and its name",
        ) from fault


def _faults_of(
    film: Film, note: FilmNote, place: Place, before: Mapping[str, Film]
) -> Iterator[Fault]:
    if found := mismatches(film, note):
        yield Fault(
            path=path_of(place),
            given=f"{note.file}: {'; '.join(found)}",
            allowed="that the film's header and the list say the same",
            advice="find out from the film and the patient which is true before going on",
        )
    for name, other in before.items():
        if other.sha256 == film.sha256:
            yield Fault(
                path=path_of((*place, "file")),
                given=f"{note.file}, which is the very same file as {name}",
                allowed="each film once",
                advice="export the other film again",
            )
    rows, columns = film.values.shape
    for spot, point in _points(note, place):
        across, down = point
        inside = EDGE_PX <= across <= columns + EDGE_PX and EDGE_PX <= down <= rows + EDGE_PX
        if not inside:
            yield outside(spot, point, (columns, rows))


def _points(note: FilmNote, place: Place) -> Iterator[tuple[Place, tuple[float, float]]]:
    if note.ruler:
        yield (*place, "ruler", "start"), note.ruler.start
        yield (*place, "ruler", "end"), note.ruler.end
    for index, placement in enumerate(note.placements):
        for landmark, point in placement.points.items():
            yield (*place, "placements", index, "points", landmark.value), point


def _fault(place: Place, note: FilmNote, refused: FilmError) -> Fault:
    if not isinstance(refused, FilmRefusedError):
        return Fault(path=path_of(place), given=str(refused), allowed="a film that can be read")
    return Fault(
        path=path_of(place),
        given=f"{note.file}: {refused.given}",
        allowed=refused.allowed.removeprefix("are ").removeprefix("is "),
        advice=refused.advice,
    )
