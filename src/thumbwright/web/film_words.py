"""Lengths and cuts of one film in words, and where their lines lie on it."""

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured, scaled
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RAYS
from thumbwright.core.radiograph.lengths import Lengths
from thumbwright.core.radiograph.measurement import bone_lengths
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import ToeCut
from thumbwright.documents.paper_parts import printed
from thumbwright.storage.records import Value


def length_in_words(length: Measured | Unknown) -> str:
    """Return a length with its interval, or why it is unknown."""
    shown = printed(length)
    return f"unknown: {shown.reason}" if isinstance(shown, Unknown) else shown.words


def level_in_words(cut: ToeCut) -> str:
    """Return where a cut lies, counted from the joint that the surgeon sees."""
    far = cut.from_joint
    way = "proximal" if far.value >= 0 else "distal"
    beyond = far if far.value >= 0 else scaled(far, -1.0)
    return f"{length_in_words(beyond)} {way} to the line of the {cut.joint}"


def bones_in_words(own: FilmReading) -> tuple[list[Value], list[Value]]:
    """Return a row for each bone of a film, and its line."""
    placed = own.placed
    if not isinstance(placed, PlacedPoints):
        return [{"name": "lengths", "text": f"unknown: {placed.reason}"}], []
    rows: list[Value] = []
    lines: list[Value] = []
    for ray in RAYS.values():
        if ray.region is not own.note.region:
            continue
        for found in bone_lengths(placed, own.note, ray):
            words = length_in_words(found.length)
            rows.append({"name": f"{ray.name.value}, {found.name}", "text": words})
            bone = next(bone for bone in ray.bones if bone.name == found.name)
            ends = [list(map(float, placed.points[end])) for end in (bone.base, bone.head)]
            lines.append({"from": [*ends[0]], "to": [*ends[1]], "text": words.split(" (")[0]})
    return rows, lines


def cut_in_words(lengths: Lengths | None, own: FilmReading, rows: list[Value]) -> Value:
    """Return the first cut on a film to be drawn, and add a row for each."""
    if lengths is None or own.note.region is not Region.FOOT:
        return None
    first: Value = None
    for toe in lengths.toes:
        if toe.side is not own.note.side:
            continue
        if isinstance(toe.cut, Unknown):
            rows.append({"name": "cut", "text": f"unknown: {toe.cut.reason}"})
            continue
        rows.append({"name": f"cut, {toe.cut.ray.name.value}", "text": level_in_words(toe.cut)})
        if first is None and toe.cut.film == own.note.file:
            first = cut_line(toe.cut, f"cut, {toe.cut.ray.name.value}")
    return first


def cut_line(cut: ToeCut, words: str) -> Value:
    """Return a cut as it is drawn, with the words beside it."""
    along = np.array(cut.along) / np.hypot(*cut.along)
    return {
        "at": [float(cut.at[0]), float(cut.at[1])],
        "across": [float(-along[1]), float(along[0])],
        "text": words,
    }
