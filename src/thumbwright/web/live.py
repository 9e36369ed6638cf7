"""Lengths while points are being moved: each film is calibrated once and kept."""

from collections import OrderedDict
from dataclasses import replace
from threading import Lock

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.foundations.measured import scaled
from thumbwright.core.radiograph.film_reading import FilmReading, read_out, with_points
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RAYS, FilmNote, FilmNotes, Landmark, Placement
from thumbwright.core.radiograph.lengths import Lengths, measure
from thumbwright.core.radiograph.measurement import bone_lengths
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.documents.paper_parts import printed
from thumbwright.interchange.case_file import read_case
from thumbwright.interchange.films import read_film
from thumbwright.storage.records import StoredCase, Table, Value
from thumbwright.web.desk import Desk
from thumbwright.web.stored_documents import case_text, notes_of

KEPT_FILMS = 24
"""Calibrated films that are kept ready; one takes some 20 MB."""


class LiveFilms:
    """The films of a desk, calibrated.

    Parameters
    ----------
    desk
        Where the films are.
    """

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self._kept: OrderedDict[tuple[str, str], FilmReading] = OrderedDict()
        self._lock = Lock()

    def reading(self, case: StoredCase, note: FilmNote) -> FilmReading:
        """Return one film, calibrated, with the points of the note.

        Raises
        ------
        PlanError
            If the film is missing, cannot be read, or contradicts the note.
        """
        stored, data = self._desk.files.read(case.key, note.file)
        key = (stored.sha256, repr(replace(note, placements=())))
        with self._lock:
            found = self._kept.get(key)
        if found is None:
            found = read_out(read_film(data, note.file), note)
            with self._lock:
                self._kept[key] = found
                while len(self._kept) > KEPT_FILMS:
                    self._kept.popitem(last=False)
        return with_points(found, note)

    def answer(self, case: StoredCase, file: str, points: dict[Landmark, list[float]]) -> Table:
        """Return lengths, lines and the cut for points that are being moved.

        Raises
        ------
        PlanError
            If the film is not of the case, or facts and films contradict each other.
        """
        notes = notes_of(case)
        note = note_of(notes, file)
        places = {name: (at[0], at[1]) for name, at in points.items()}
        moved = replace(note, placements=(Placement(observer="now", points=places),))
        own = self.reading(case, moved if places else replace(note, placements=()))
        rows, lines = _bones(own)
        lengths = self._lengths(case, notes, own)
        if lengths is not None:
            rows.append({"name": "missing length", "text": _words(lengths.missing)})
        return {"rows": rows, "lines": lines, "cut": _cut(lengths, own, rows)}

    def _lengths(self, case: StoredCase, notes: FilmNotes, own: FilmReading) -> Lengths | None:
        try:
            facts = read_case(case_text(case), "the findings")
            readings = [
                own if note.file == own.note.file else self.reading(case, note)
                for note in notes.films
            ]
        except PlanError:
            return None
        return measure(facts, readings)


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


def _bones(own: FilmReading) -> tuple[list[Value], list[Value]]:
    placed = own.placed
    if not isinstance(placed, PlacedPoints):
        return [{"name": "lengths", "text": f"unknown: {placed.reason}"}], []
    rows: list[Value] = []
    lines: list[Value] = []
    for ray in RAYS.values():
        if ray.region is not own.note.region:
            continue
        for found in bone_lengths(placed, own.note, ray):
            words = _words(found.length)
            rows.append({"name": f"{ray.name.value}, {found.name}", "text": words})
            bone = next(bone for bone in ray.bones if bone.name == found.name)
            ends = [list(map(float, placed.points[end])) for end in (bone.base, bone.head)]
            lines.append({"from": [*ends[0]], "to": [*ends[1]], "text": words.split(" (")[0]})
    return rows, lines


def _cut(lengths: Lengths | None, own: FilmReading, rows: list[Value]) -> Value:
    if lengths is None or own.note.region is not Region.FOOT:
        return None
    first: Value = None
    for toe in lengths.toes:
        if toe.side is not own.note.side:
            continue
        if isinstance(toe.cut, Unknown):
            rows.append({"name": "cut", "text": f"unknown: {toe.cut.reason}"})
            continue
        along = np.array(toe.cut.along) / np.hypot(*toe.cut.along)
        from_joint = toe.cut.from_joint
        way = "proximal" if from_joint.value >= 0 else "distal"
        beyond = from_joint if from_joint.value >= 0 else scaled(from_joint, -1.0)
        words = f"{_words(beyond)} {way} to the line of the {toe.cut.joint}"
        rows.append({"name": f"cut, {toe.cut.ray.name.value}", "text": words})
        if first is None:
            first = {
                "at": [float(toe.cut.at[0]), float(toe.cut.at[1])],
                "across": [float(-along[1]), float(along[0])],
                "text": f"cut, {toe.cut.ray.name.value}",
            }
    return first


def _words(length: object) -> str:
    shown = printed(length)  # type: ignore[arg-type]
    return f"unknown: {shown.reason}" if isinstance(shown, Unknown) else shown.words
