"""Balls beside hands and feet of random phantoms, and films with metal but no ball.

Used by the tests, few at a time, and by ``tools/study_detection.py`` for the tables.
"""

from dataclasses import dataclass, replace
from math import hypot

import numpy as np

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.image import BeamScale, Region
from thumbwright.core.radiograph.marker import MarkerFound, find_marker
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.objects import LeadLetter, Ring, Screw
from thumbwright.phantom.random_cases import PlannedFilm, Protocol, random_plan
from thumbwright.phantom.scene import Distractor, Scene

USUAL_MM = (15.0, 20.0, 25.0)
SMALL_MM = (10.0, 12.0)
PITCHES_MM = (0.1, 0.14, 0.15, 0.175, 0.2)
COARSE_MM = (0.175, 0.2)
"""Pitches of films that are drawn quickly."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BallMiss:
    """How far a ball that was found lies from the true one."""

    centre_px: float
    diameter_px: float
    """Found less true."""
    diameter_share: float
    """The same over the true one. [-]"""
    diameter_doubts: float
    """The same over its stated standard uncertainty. [-]"""
    centre_doubts: tuple[float, float]
    """Errors of the centre in columns and rows over the stated standard uncertainty. [-]"""
    is_logarithmic: bool
    is_cut_off: bool
    """Whether the metal reached the top of the scale."""


def draw_ball_film(
    rng: np.random.Generator,
    diameters_mm: tuple[float, ...],
    pitches_mm: tuple[float, ...] = PITCHES_MM,
) -> PhantomFilm:
    """Draw a person and expose one of the three films, with a ball on it."""
    planned = _planned(rng, Protocol(ball_diameter_mm=diameters_mm, pitch_mm=pitches_mm))
    return expose(planned.scene, planned.geometry, planned.exposure, rng)


def draw_film_without_ball(
    rng: np.random.Generator, pitches_mm: tuple[float, ...] = PITCHES_MM
) -> PhantomFilm:
    """Draw a person and expose one of the three films, with other metal and no ball."""
    planned = _planned(rng, Protocol(pitch_mm=pitches_mm))
    scene = replace(planned.scene, balls=(), things=_things(planned.scene, rng))
    return expose(scene, planned.geometry, planned.exposure, rng)


def _planned(rng: np.random.Generator, protocol: Protocol) -> PlannedFilm:
    age = float(rng.uniform(4.0, 14.0)) if rng.random() < 0.3 else None
    plan = random_plan(rng, replace(protocol, age_years=age))
    films = (plan.injured, plan.other, plan.foot)
    return films[int(rng.integers(3))]


def _things(scene: Scene, rng: np.random.Generator) -> tuple[Distractor, ...]:
    """Draw a letter, a ring and a screw, each on seven films of ten."""
    corner = (-72.0, 140.0) if scene.region is Region.HAND else (-58.0, 122.0)
    letter = LeadLetter(
        letter="RL"[int(rng.integers(2))],
        centre_mm=(scene.factor * corner[0], scene.factor * corner[1], 5.0),
        letter_height_mm=float(rng.uniform(8.0, 20.0)),
    )
    ring = Ring(finger=int(rng.integers(1, 5)), width_mm=float(rng.uniform(2.0, 8.0)))
    screw = Screw(finger=int(rng.integers(1, 5)), diameter_mm=float(rng.uniform(1.5, 3.5)))
    return tuple(thing for thing in (letter, ring, screw) if rng.random() < 0.7)


def found_ball(film: PhantomFilm, *, is_scale_stated: bool = True) -> MarkerFound | Unknown:
    """Look for the ball as the program does, with or without what the header says of the scale."""
    stated = BeamScale(film.exposure.response.value)
    scale = stated if is_scale_stated else BeamScale.NOT_STATED
    return find_marker(film.light, beam_scale=scale)


def ball_miss(film: PhantomFilm, found: MarkerFound) -> BallMiss:
    """Return how far off a ball is."""
    shadow = film.truth.balls[0].shadow
    off = np.subtract(found.centre, shadow.centre)
    true_px = 2 * shadow.semi_minor_px
    over = found.diameter_px - true_px
    return BallMiss(
        centre_px=hypot(*off),
        diameter_px=over,
        diameter_share=over / true_px,
        diameter_doubts=over / found.diameter_uncertainty_px,
        centre_doubts=(
            float(off[0]) / found.centre_uncertainty_px,
            float(off[1]) / found.centre_uncertainty_px,
        ),
        is_logarithmic=BeamScale(film.exposure.response.value) is BeamScale.LOGARITHMIC,
        is_cut_off=found.saturated,
    )
