"""The list of films: what is said of each film, and the points placed on it."""

from collections.abc import Iterable, Iterator

from thumbwright.core.foundations.errors import Fault, FilmsFileError
from thumbwright.core.radiograph.image import Region, View
from thumbwright.core.radiograph.landmarks import (
    RAYS,
    FilmNote,
    FilmNotes,
    Landmark,
    Placement,
    Ray,
    Ruler,
)
from thumbwright.interchange.document_text import Place, Table, path_of
from thumbwright.interchange.schemas import document_model
from thumbwright.interchange.validation import (
    Checked,
    Document,
    DocumentKind,
    check_document,
    fitted,
    listed,
)

VERSION_KEY = "thumbwright_films"
FILMS = DocumentKind(
    version_key=VERSION_KEY,
    version=1,
    model=document_model("FilmsDocument", VERSION_KEY, FilmNotes),
    error=FilmsFileError,
)
EDGE_PX = -0.5
"""Upper and left edge of a film, counted from the centre of its first pixel. [px]"""
_NEVER_IN_NAMES = frozenset('/\\:*?"<>|')

Found = tuple[Place, Fault]


def read_film_notes(data: bytes | str, name: str = "the list of films") -> FilmNotes:
    """Read the list of films from a TOML or JSON document.

    Parameters
    ----------
    data
        The document, as bytes (UTF-8) or text.
    name
        What to call it in messages, such as its file name.

    Raises
    ------
    FilmsFileError
        With every fault, of form and of content, in the document's order.
    """
    checked = check_document(data, FILMS)
    if checked.document is not None:
        notes = FilmNotes(films=getattr(checked.document, "films"))  # noqa: B009  built at run time
        faults = tuple(_contents(enumerate(notes.films)))
        if not notes.films:
            faults = ((("films",), _fault(("films",), "an empty list", "at least one film")),)
        if not faults:
            return notes
    else:
        faults = (*checked.faults, *_contents(_sound_films(checked)))
    raise FilmsFileError(name, listed(fault for _, fault in sorted(faults, key=_in_order)))


def write_film_notes(notes: FilmNotes) -> str:
    """Write the list of films as a JSON document that :func:`read_film_notes` takes back."""
    content: dict[str, object] = {VERSION_KEY: 1, "films": notes.films}
    document = FILMS.model(**content)
    return document.model_dump_json(indent=1, exclude_none=True) + "\n"


def points_of(region: Region) -> frozenset[Landmark]:
    """Return the points that can be named on a film of hand or foot."""
    foot = {
        point for ray in RAYS.values() if ray.region is Region.FOOT for point in _points_of_ray(ray)
    }
    return frozenset(foot if region is Region.FOOT else set(Landmark) - foot)


def _points_of_ray(ray: Ray) -> set[Landmark]:
    return {ray.skin_tip} | {point for bone in ray.bones for point in (bone.base, bone.head)}


def _sound_films(checked: Checked[Document]) -> Iterator[tuple[int, FilmNote]]:
    """Yield the films without fault of form, so that one round of mending is enough."""
    films = checked.table.get("films")
    for at, film in enumerate(films if isinstance(films, list) else []):
        table: Table = {VERSION_KEY: 1, "films": [film]}
        document, _ = fitted(table, FILMS.model)
        if document is not None:
            yield at, getattr(document, "films")[0]  # noqa: B009  built at run time


def _contents(films: Iterable[tuple[int, FilmNote]]) -> Iterator[Found]:
    seen: dict[str, int] = {}
    for at, note in films:
        place: Place = ("films", at)
        yield from _name(note, place, seen.setdefault(note.file.casefold(), at))
        yield from _geometry(note, place)
        for index, placement in enumerate(note.placements):
            yield from _placement(placement, note.region, (*place, "placements", index))


def _name(note: FilmNote, place: Place, first: int) -> Iterator[Found]:
    file = (*place, "file")
    is_plain = note.file.isprintable() and note.file == note.file.strip()
    if not is_plain or _NEVER_IN_NAMES & set(note.file) or not note.file.strip("."):
        yield (
            file,
            _fault(
                file,
                repr(note.file),
                'the name of a file without its folder, and without / \\ : * ? " < > |',
                "put all films into one folder and name each by its file name",
            ),
        )
    if first != place[1]:
        yield (
            file,
            _fault(
                file,
                f"{note.file!r}, which films[{first}] names already",
                "each file once",
                "put all points of one film into its placements",
            ),
        )


def _geometry(note: FilmNote, place: Place) -> Iterator[Found]:
    if note.region is Region.HAND and note.view is View.DORSOPLANTAR:
        view = (*place, "view")
        yield (
            view,
            _fault(view, "dorsoplantar, a view of a foot", "a view of a hand", "see region"),
        )
    if note.ruler:
        yield from _ruler(note.ruler, (*place, "ruler"))


def _ruler(ruler: Ruler, place: Place) -> Iterator[Found]:
    if ruler.start == ruler.end:
        yield (
            place,
            _fault(place, "two points in one place", "two points apart", "place both ends anew"),
        )
    for word, point in (("start", ruler.start), ("end", ruler.end)):
        if min(point) < EDGE_PX:
            yield (*place, word), outside((*place, word), point)


def _placement(placement: Placement, region: Region, place: Place) -> Iterator[Found]:
    if not placement.points:
        points = (*place, "points")
        yield points, _fault(points, "no points", "at least one point", "place some, or remove it")
    allowed = points_of(region)
    for landmark, point in placement.points.items():
        spot = (*place, "points", landmark.value)
        if landmark not in allowed:
            other = Region.FOOT if region is Region.HAND else Region.HAND
            yield (
                spot,
                _fault(
                    spot,
                    f"a point of a {other.value} on a film of a {region.value}",
                    ", ".join(sorted(one.value for one in allowed)),
                    "correct the point or the region",
                ),
            )
        if min(point) < EDGE_PX:
            yield spot, outside(spot, point)


def outside(place: Place, point: tuple[float, float], size: tuple[int, int] | None = None) -> Fault:
    """Return the fault of a point that lies beside its film.

    Parameters
    ----------
    place
        Where in the document it stands.
    point
        Column and row. [px]
    size
        Columns and rows of the film, where they are known.
    """
    ends = (f"{size[0] - 1}", f"{size[1] - 1}") if size else ("the last", "the last")
    return _fault(
        place,
        f"column {point[0]:g}, row {point[1]:g}",
        f"columns 0 to {ends[0]} and rows 0 to {ends[1]}, as [column, row]",
        "count from 0 at the upper left, column first",
    )


def _fault(place: Place, given: str, allowed: str, advice: str = "correct it") -> Fault:
    return Fault(path=path_of(place), given=given, allowed=allowed, advice=advice)


def _in_order(found: Found) -> tuple[tuple[int, int | str], ...]:
    """Sort by film and placement; what stands before the films comes first."""
    return tuple((0, step) if isinstance(step, int) else (1, "") for step in found[0])
