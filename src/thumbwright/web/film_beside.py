"""Hand film and foot film beside each other: the missing length on both, in lines and words."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import THUMB, FilmNotes, Landmark, Point, Ray
from thumbwright.core.radiograph.lengths import TOES, Lengths
from thumbwright.core.radiograph.measurement import stations
from thumbwright.core.radiograph.placements import PlacedPoints
from thumbwright.core.radiograph.transposition import ToeCut, joint_heights
from thumbwright.storage.records import StoredCase, Table, Value
from thumbwright.web.film_carried import carried_in_words
from thumbwright.web.film_sent import SentPoints
from thumbwright.web.film_words import cut_line
from thumbwright.web.live import LiveFilms, Said, film_answer, note_of


@dataclass(frozen=True, slots=True, kw_only=True)
class Pick:
    """Which films lie beside each other, and which toe is looked at."""

    hand: str
    foot: str
    toe: Ray


def picked(live: LiveFilms, case: StoredCase, asked: Mapping[str, str]) -> Pick | Unknown:
    """Return the films asked for, or those whose lengths give wanted length and cut.

    Returns
    -------
    Pick | Unknown
        Unknown if no film of a hand, or none of a foot, is there.
    """
    said = live.said(case)
    there = _there(said)
    for region, files in there.items():
        if not files:
            return Unknown(
                reason=f"no film of a {region.value} is there of which side and view were recorded",
                needed=(f"a film of a {region.value}",),
            )
    toe = next((ray for ray in TOES if ray.name.value == asked.get("toe")), None)
    hand, foot = asked.get("hand", ""), asked.get("foot", "")
    if toe and hand in there[Region.HAND] and foot in there[Region.FOOT]:
        return Pick(hand=hand, foot=foot, toe=toe)
    cut = _first_cut(live.lengths(case, said, {}), toe)
    return Pick(
        hand=hand if hand in there[Region.HAND] else _pattern(said, there[Region.HAND]),
        foot=foot if foot in there[Region.FOOT] else cut.film if cut else there[Region.FOOT][0],
        toe=toe or (cut.ray if cut else TOES[0]),
    )


def beside(live: LiveFilms, case: StoredCase, pick: Pick, moved: Mapping[str, SentPoints]) -> Table:
    """Return lengths, bars, band and words for both films as they stand on the page.

    Raises
    ------
    PlanError
        If a film is not of the case, or facts and films contradict each other.
    """
    said = live.said(case)
    chosen = {pick.hand, pick.foot}
    ordered = sorted(said.notes.films, key=lambda note: note.file not in chosen)
    said = Said(notes=FilmNotes(films=tuple(ordered)), facts=said.facts, shas=said.shas)
    own = {}
    for file in (pick.hand, pick.foot):
        note = note_of(said.notes, file)
        note = moved[file].on(note) if file in moved else note
        own[file] = live.reading(case, note, said)
    hand, foot = own[pick.hand], own[pick.foot]
    lengths = live.lengths(case, said, own)
    cut = _cut_on(lengths, foot, pick.toe)
    answers: dict[str, Table] = {file: film_answer(one, lengths) for file, one in own.items()}
    answers[pick.hand]["bar"] = _hand_bar(lengths, hand)
    answers[pick.foot]["bar"] = _toe_bar(cut, foot)
    answers[pick.foot]["cut"] = cut_line(cut, "cut") if isinstance(cut, ToeCut) else None
    answers[pick.foot]["band"] = _band(cut, foot)
    return {
        "films": {**answers},
        "carried": carried_in_words(lengths, cut, (hand, foot)),
    }


def _there(said: Said) -> dict[Region, list[str]]:
    return {
        region: [
            note.file
            for note in said.notes.films
            if note.region is region and note.file in said.shas
        ]
        for region in Region
    }


def _pattern(said: Said, hands: Sequence[str]) -> str:
    injured = said.facts.injury.side if said.facts else None
    for note in said.notes.films:
        if note.file in hands and note.side is not injured:
            return note.file
    return hands[0]


def _first_cut(lengths: Lengths | None, ray: Ray | None) -> ToeCut | None:
    for toe in lengths.toes if lengths else ():
        if isinstance(toe.cut, ToeCut) and ray in {None, toe.ray}:
            return toe.cut
    return None


def _cut_on(lengths: Lengths | None, foot: FilmReading, ray: Ray) -> ToeCut | Unknown:
    if lengths is None:
        return Unknown(reason="the findings, or another film of the case, cannot be read yet")
    if isinstance(foot.placed, Unknown):
        return foot.placed
    for toe in lengths.toes:
        if toe.side is foot.note.side and toe.ray is ray:
            return toe.cut
    return Unknown(reason=f"the {ray.name.value} is not on this film")


def _hand_bar(lengths: Lengths | None, hand: FilmReading) -> Value:
    """Return the missing length on the pattern thumb from its tip, or beyond the stump."""
    if lengths is None or not isinstance(lengths.missing, Measured):
        return None
    if not isinstance(hand.placed, PlacedPoints) or lengths.missing.value <= 0:
        return None
    words = _missing_words(lengths.missing)
    if Landmark.STUMP_BONE_END in hand.placed.points:
        return _bar(_beyond_stump(hand.placed, lengths.missing.value), words)
    return _bar(_from_tip(hand, hand.placed, THUMB, lengths.missing.value), words)


def _toe_bar(cut: ToeCut | Unknown, foot: FilmReading) -> Value:
    if isinstance(cut, Unknown) or not isinstance(foot.placed, PlacedPoints):
        return None
    words = _missing_words(cut.wanted)
    return _bar(_from_tip(foot, foot.placed, cut.ray, cut.wanted.value), words)


def _missing_words(length: Measured) -> str:
    return f"{length.value:.1f} mm missing"


def _bar(points: Sequence[Point], words: str) -> Value:
    if len(points) < 2:
        return None
    return {"points": [[*point] for point in points], "text": words}


def _band(cut: ToeCut | Unknown, foot: FilmReading) -> Value:
    """Return between which two levels the cut lies, as they are drawn."""
    if isinstance(cut, Unknown) or isinstance(foot.scale, Unknown):
        return None
    within = cut.from_joint.interval()
    half_mm = (within.high - within.low) / 2
    axis = np.array(cut.along) / np.hypot(*cut.along)
    step = axis * half_mm / np.hypot(*(axis * (foot.scale.column_mm, foot.scale.row_mm)))
    ends = [[float(place) for place in np.array(cut.at) + sign * step] for sign in (-1, 1)]
    return {"from": [*ends[0]], "to": [*ends[1]], "text": f"± {half_mm:.1f} mm"}


def _from_tip(own: FilmReading, placed: PlacedPoints, ray: Ray, length_mm: float) -> list[Point]:
    """Return the way from the bony tip over so many millimetres of a ray.

    Lengths of segments are corrected for tilt, so the end is found as a share of its segment.
    """
    path = stations(ray, placed)
    heights = [height.from_tip for height in joint_heights(placed, own.note, ray)]
    reaches = [one.value for one in heights if isinstance(one, Measured)]
    if len(reaches) != len(path) - 1:
        return []
    places = [np.mean([placed.points[at] for at in one.landmarks], axis=0) for one in path]
    reaches.append(0.0)
    way = [places[-1]]
    for at in range(len(path) - 2, -1, -1):
        if reaches[at] >= length_mm:
            share = (length_mm - reaches[at + 1]) / (reaches[at] - reaches[at + 1])
            way.append(places[at + 1] + share * (places[at] - places[at + 1]))
            return [(float(place[0]), float(place[1])) for place in way]
        way.append(places[at])
    return []


def _beyond_stump(placed: PlacedPoints, length_mm: float) -> list[Point]:
    path = stations(THUMB, placed, end=Landmark.STUMP_BONE_END)
    if len(path) < 2:
        return []
    size = np.array((placed.scale.column_mm, placed.scale.row_mm))
    before, end = (
        np.mean([placed.points[at] for at in one.landmarks], axis=0) * size for one in path[-2:]
    )
    far = end + (end - before) / np.hypot(*(end - before)) * length_mm
    return [(float(one[0] / size[0]), float(one[1] / size[1])) for one in (far, end)]
