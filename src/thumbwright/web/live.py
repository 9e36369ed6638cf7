"""Lengths while points are being moved: what a moved point does not touch is kept ready."""

from collections import OrderedDict
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Any, Generic, TypeVar

from thumbwright.core.case.case import Case
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import CalibrationError, PlanError
from thumbwright.core.radiograph.film_reading import FilmReading, look_for_ball, read_out
from thumbwright.core.radiograph.image import Film, Region
from thumbwright.core.radiograph.landmarks import FilmNote, FilmNotes
from thumbwright.core.radiograph.lengths import Lengths, measure
from thumbwright.core.radiograph.marker import MarkerFound
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films import read_film
from thumbwright.storage.records import Part, StoredCase, Table, Value
from thumbwright.web.desk import Desk
from thumbwright.web.film_scale import RULER_BESIDE, ScaleFault, scale_said, scale_table
from thumbwright.web.film_sent import SentPoints
from thumbwright.web.film_words import bones_in_words, cut_in_words, length_in_words
from thumbwright.web.stored_documents import case_text, films_text, notes_of

KEPT_FILMS = 24
"""Films that are kept ready; one takes some 20 MB."""
KEPT_BALLS = 200
"""Balls found; a page may try several diameters on one film."""
KEPT_CASES = 16
T = TypeVar("T")


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What is said of a case, read once."""

    notes: FilmNotes
    facts: Case | None
    """None where the findings cannot be read yet."""
    shas: Mapping[str, str]
    """Hash of each film that is there."""


class LiveFilms:
    """The films of a desk, with what was found on them.

    Parameters
    ----------
    desk
        Where the films are.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._films: Kept[Film] = Kept(KEPT_FILMS)
        self._balls: Kept[MarkerFound | Unknown] = Kept(KEPT_BALLS)
        self._said: Kept[tuple[FilmNotes, Case | None]] = Kept(KEPT_CASES)

    def said(self, case: StoredCase) -> Said:
        """Return what is said of a case."""
        # by content: the same version may hold other facts once a copy was put back
        key = films_text(case), case_text(case)
        notes, facts = self._said.had(key, lambda: _read(case))
        kept = self._desk.files.of_case(case.key, "film")
        return Said(notes=notes, facts=facts, shas={one.name: one.sha256 for one in kept})

    def reading(self, case: StoredCase, note: FilmNote, said: Said | None = None) -> FilmReading:
        """Return one film, calibrated, with the points of the note.

        Raises
        ------
        PlanError
            If the film is missing, cannot be read, or contradicts the note.
        """
        sha = (said or self.said(case)).shas.get(note.file)
        key = (sha, note.file)
        film = self._films.had(
            key, lambda: read_film(self._desk.files.read(case.key, note.file)[1], note.file)
        )
        diameter_mm = note.ball.diameter_mm if note.ball else None
        ball = self._balls.had((*key, diameter_mm), lambda: look_for_ball(film, note))
        return read_out(film, note, ball)

    def answer(
        self,
        case: StoredCase,
        file: str,
        points: SentPoints,
        fields: Mapping[str, Any] | None = None,
    ) -> Table:
        """Return lengths, lines, scale and the cut for points that are being moved.

        Parameters
        ----------
        case, file
            The film of the case.
        points
            Its points as they stand on the page.
        fields
            What the fields of its scale say, if they differ from what is recorded.

        Raises
        ------
        PlanError
            If the film is not of the case, or facts and films contradict each other.
        """
        said = self.said(case)
        note = note_of(said.notes, file)
        note, faults = self.scaled(case, note, fields, points) if fields else (note, ())
        own = self.reading(case, points.on(note), said)
        lengths = self.lengths(case, said, {file: own})
        answer = film_answer(own, lengths)
        answer["faults"] = [one.table for one in faults]
        return answer

    def scaled(
        self, case: StoredCase, note: FilmNote, fields: Mapping[str, Any], points: SentPoints
    ) -> tuple[FilmNote, tuple[ScaleFault, ...]]:
        """Return the note with what the fields of its scale say, or as it was and every fault."""
        said, faults = scale_said(note, fields, points.ruler)
        if faults:
            return note, faults
        try:
            film = self.reading(case, said).film
        except CalibrationError as fault:
            return note, (ScaleFault(field="source_mm", text=str(fault)),)
        rows, columns = film.shown.shape
        ends = (said.ruler.start, said.ruler.end) if said.ruler else ()
        if any(column > columns - 1 or row > rows - 1 for column, row in ends):
            return note, (RULER_BESIDE,)
        return said, ()

    def lengths(
        self, case: StoredCase, said: Said, own: Mapping[str, FilmReading]
    ) -> Lengths | None:
        """Return the lengths of a case, with some films as they stand on a page.

        Parameters
        ----------
        case, said
            The case, and what is said of it.
        own
            Films as they stand on a page. Of feet, only those that show the same foot as one of
            these are measured; all if none is given.

        Returns
        -------
        Lengths | None
            None if findings or another film cannot be read.
        """
        if said.facts is None:
            return None
        wanted = _touched(said.notes, own)
        try:
            others = [self.reading(case, note, said) for note in wanted if note.file not in own]
        except PlanError:
            return None
        order = {note.file: at for at, note in enumerate(said.notes.films)}
        films = sorted((*own.values(), *others), key=lambda one: order[one.note.file])
        return measure(said.facts, films)


class Kept(Generic[T]):
    """Things that took long to make, the newest of them.

    Parameters
    ----------
    most
        How many are kept.
    """

    def __init__(self, most: int) -> None:
        self._most = most
        self._things: OrderedDict[object, T] = OrderedDict()
        self._lock = Lock()

    def had(self, key: object, make: Callable[[], T]) -> T:
        """Return the thing of this key, made if it is not there; nobody waits while it is made."""
        with self._lock:
            if key in self._things:
                self._things.move_to_end(key)
                return self._things[key]
        made = make()
        with self._lock:
            self._things[key] = made
            while len(self._things) > self._most:
                self._things.popitem(last=False)
        return made


def note_of(notes: FilmNotes, file: str) -> FilmNote:
    """Return what is said of one film.

    Raises
    ------
    PlanError
        If nothing is.
    """
    for note in notes.films:
        if note.file == file:
            return note
    msg = (
        f"nothing is said of the film {file[:100]!r} yet; allowed are films whose side, part and "
        "view were recorded; do so on the page of the films"
    )
    raise PlanError(msg)


def film_answer(own: FilmReading, lengths: Lengths | None) -> Table:
    """Return what a page shows of one film."""
    rows, lines = bones_in_words(own)
    if lengths is not None:
        rows.append({"name": "missing length", "text": length_in_words(lengths.missing)})
    cut = cut_in_words(lengths, own, rows)
    scale: Value = {**scale_table(own.scale, own.remarks)}
    return {"rows": rows, "lines": lines, "cut": cut, "scale": scale}


def _touched(notes: FilmNotes, own: Mapping[str, FilmReading]) -> list[FilmNote]:
    """Return the films on which the lengths depend that a page with some films shows."""
    parts = {(one.note.region, one.note.side) for one in own.values()}
    return [
        note
        for note in notes.films
        if not own or note.region is Region.HAND or (note.region, note.side) in parts
    ]


def _read(case: StoredCase) -> tuple[FilmNotes, Case | None]:
    notes = notes_of(case) if case.parts[Part.FILMS].get("films") else FilmNotes(films=())
    try:
        return notes, read_case(case_text(case), "the findings")
    except PlanError:
        return notes, None
