"""How true the transposed length is: random phantoms, points placed by hand, all computed anew.

Used by the tests, in a reduced form, and by ``tools/study_transposition.py`` for the table.
"""

from dataclasses import dataclass, replace
from datetime import date

import numpy as np

from thumbwright.core.case.case import Case
from thumbwright.core.case.hand import OtherThumb
from thumbwright.core.case.injury import Injury, Mechanism
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.film_reading import FilmReading, read_out
from thumbwright.core.radiograph.landmarks import Landmark, RayName
from thumbwright.core.radiograph.lengths import measure
from thumbwright.phantom.films import PhantomFilm
from thumbwright.phantom.notes import film_note, placed_by_hand
from thumbwright.phantom.random_cases import Protocol, Study, random_study


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One toe of one phantom person."""

    ray: RayName
    error_mm: float
    """Stated cut, from the named joint line, less the true one."""
    half_width_mm: float
    """Half of the stated 95 % interval."""

    @property
    def covered(self) -> bool:
        """Tell whether the interval holds the truth."""
        return abs(self.error_mm) <= self.half_width_mm


def _case(study: Study) -> Case:
    return Case(
        case_id="phantom",
        examined_on=date(2026, 11, 1),
        patient=Patient(pseudonym="Phantom", birth_date=date(1990, 1, 1), sex=Sex.FEMALE),
        injury=Injury(side=study.plan.injured_side, mechanism=Mechanism.SHARP),
        other_thumb=OtherThumb.SOUND,
    )


def _reading(
    film: PhantomFilm,
    name: str,
    rng: np.random.Generator,
    protocol: Protocol,
    *,
    placements: int,
    scatter_mm: float,
) -> FilmReading:
    scatter_px = scatter_mm / film.geometry.column_pitch_mm
    rounds = tuple(
        placed_by_hand(film.truth, rng, observer=f"o{at}", scatter_px=scatter_px)
        for at in range(placements)
    )
    note = film_note(
        film, name, placements=rounds, ball_height_tolerance_mm=protocol.ball_tolerance_mm
    )
    return read_out(film.as_film(name), replace(note, tilt_limit_deg=protocol.tilt_limit_deg))


def outcomes(
    rng: np.random.Generator,
    protocol: Protocol,
    *,
    placements: int,
    scatter_mm: float = 0.3,
) -> tuple[tuple[Outcome, ...], tuple[str, ...]]:
    """Plan one phantom person and compare with the truth; also return what stayed unknown."""
    study = random_study(rng, protocol)
    films = {"hand.dcm": study.injured, "other.dcm": study.other, "foot.dcm": study.foot}
    readings = [
        _reading(film, name, rng, protocol, placements=placements, scatter_mm=scatter_mm)
        for name, film in films.items()
    ]
    lengths = measure(_case(study), readings)
    other, injured, foot = study.other.truth, study.injured.truth, study.foot.truth
    missing = other.length_to_tip_mm(RayName.THUMB, Landmark.METACARPAL_BASE) - injured.length_mm(
        RayName.THUMB, Landmark.METACARPAL_BASE, Landmark.STUMP_BONE_END
    )
    found, unknown = [], []
    for toe in lengths.toes:
        if toe.side is not foot.side:
            continue
        if isinstance(toe.cut, Unknown):
            unknown.append(str(toe.cut))
            continue
        true = missing - foot.length_to_tip_mm(toe.ray.name, toe.cut.joint)
        stated = toe.cut.from_joint
        found.append(
            Outcome(
                ray=toe.ray.name,
                error_mm=stated.value - true,
                half_width_mm=stated.coverage_factor() * stated.uncertainty,
            )
        )
    return tuple(found), tuple(unknown)
