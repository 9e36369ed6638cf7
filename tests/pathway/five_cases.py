"""The five invented cases of the demonstration on coarse films, built once for all tests.

The films are those of the demonstration with pixels of 0.4 mm, so that five cases take a few
seconds. Each keeps the truth of its films, which the program is never shown.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from thumbwright.bootstrap import Intake, knowledge, take_in
from thumbwright.core.case.case import Case
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph import film_reading
from thumbwright.core.radiograph.image import Film
from thumbwright.core.radiograph.landmarks import FilmNotes, Landmark, RayName
from thumbwright.core.radiograph.marker import MarkerFound, find_marker
from thumbwright.demo import films, making
from thumbwright.demo.films import DemoFilm
from thumbwright.demo.people import PEOPLE, Person
from thumbwright.pathway.plan_case import Plan, plan_case
from thumbwright.phantom.films import PhantomFilm
from thumbwright.phantom.projection import centred_geometry

PITCH_MM = 0.4
DAY = date(2026, 11, 20)
_BUILT: dict[str, "Built"] = {}
_BALLS: dict[tuple[object, ...], tuple[NDArray[np.uint16], MarkerFound | Unknown]] = {}


@dataclass(frozen=True, kw_only=True)
class Built:
    """One invented case on disk, with the truth of its films."""

    person: Person
    folder: Path
    pictures: dict[str, PhantomFilm]

    @property
    def case_file(self) -> Path:
        """Return the case."""
        return self.folder / "case.toml"

    @property
    def films(self) -> Path:
        """Return the folder of the films."""
        return self.folder / "films"

    @cached_property
    def intake(self) -> Intake:
        """Return case and films as the program reads them."""
        return take_in(self.case_file, self.films, lambda _: None)

    @cached_property
    def plan(self) -> Plan:
        """Return the plan of the case as it is."""
        return self.planned()

    @property
    def true_missing_mm(self) -> float:
        """Return the bone that is truly missing, along the bones in space [mm]."""
        hurt, sound = self.person.injured, self.person.injured.other
        whole = self.pictures[f"hand_{sound.value}.dcm"].truth.length_to_tip_mm(
            RayName.THUMB, Landmark.METACARPAL_BASE
        )
        if not self.person.cmc_kept:
            return whole
        return whole - self.pictures[f"hand_{hurt.value}.dcm"].truth.length_mm(
            RayName.THUMB, Landmark.METACARPAL_BASE, Landmark.STUMP_BONE_END
        )

    def planned(
        self, case: Case | None = None, notes: FilmNotes | None = None, day: date = DAY
    ) -> Plan:
        """Plan the case, or what a test made of it."""
        return planned(case or self.intake.case, self.intake.films, notes or self.intake.notes, day)

    def notes_without(self, *files: str) -> FilmNotes:
        """Return the list of films without some of them."""
        kept = tuple(note for note in self.intake.notes.films if note.file not in files)
        return replace(self.intake.notes, films=kept)


def planned(case: Case, given: Mapping[str, Film], notes: FilmNotes, day: date = DAY) -> Plan:
    """Plan a case; the ball of a film is looked for once, however often the film is used."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(film_reading, "find_marker", _found_once)
        return plan_case(case, given, notes, knowledge(), day)


def _found_once(
    values: NDArray[np.uint16],
    **how: Any,  # noqa: ANN401  passed on as it comes
) -> MarkerFound | Unknown:
    key = (id(values), *sorted(how.items()))
    if key not in _BALLS:
        # The grey values are kept with the answer, so that no other array takes their place.
        _BALLS[key] = (values, find_marker(values, **how))
    return _BALLS[key][1]


def five_cases(scratch: pytest.TempPathFactory) -> dict[str, Built]:
    """Build the five cases, once in a session."""
    if not _BUILT:
        with pytest.MonkeyPatch.context() as patch:
            coarse = partial(centred_geometry, pitch_mm=(PITCH_MM, PITCH_MM))
            patch.setattr(films, "centred_geometry", coarse)
            for person in PEOPLE:
                _BUILT[person.key] = _built(person, scratch.mktemp(person.key), patch)
    return dict(_BUILT)


def _built(person: Person, folder: Path, patch: pytest.MonkeyPatch) -> Built:
    pictures: dict[str, PhantomFilm] = {}

    def kept_films(someone: Person) -> Iterator[DemoFilm]:
        for film in films.films_of(someone):
            pictures[film.note.file] = film.picture
            yield film

    patch.setattr(making, "films_of", kept_films)
    making.make_case(person, folder, lambda _: None)
    return Built(person=person, folder=folder, pictures=pictures)
