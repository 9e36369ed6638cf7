"""Rays of random phantoms with a rough line drawn over each, and how far off proposals lie.

Used by the tests, few at a time, and by ``tools/study_detection.py`` for the tables.
"""

from dataclasses import dataclass
from math import cos, hypot, pi, sin
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.detection import RayProposal, propose_along
from thumbwright.core.radiograph.landmarks import RAYS, Landmark, Point, RayName
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.random_cases import PlannedFilm, Protocol, random_plan
from thumbwright.phantom.truth import TrueBone, Truth

ROUGH_MM = 4.0
"""How far each end of the rough line lies off at most, in any direction."""
SCALE_SD_SHARE = 0.005
"""How far the millimetres that are handed over are off [-]: those of a ball or a header."""
PITCHES_MM = (0.14, 0.15, 0.175, 0.2)
COARSE_MM = (0.2,)
"""Pitch of films that are drawn quickly."""
MET_MM = 1.0
AGES_YEARS = (4.0, 14.0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Kind:
    """What is filmed."""

    name: str
    ray: RayName
    stump: bool
    child: bool


KINDS = tuple(
    Kind(name=f"{words}, {who}", ray=ray, stump=stump, child=child)
    for child, who in ((False, "adults"), (True, "children of 4 to 13"))
    for words, ray, stump in (
        ("whole thumb", RayName.THUMB, False),
        ("stump of a thumb", RayName.THUMB, True),
        ("great toe", RayName.GREAT_TOE, False),
        ("second toe", RayName.SECOND_TOE, False),
    )
)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Case:
    """One ray of one film with a rough line over it."""

    kind: Kind
    values: NDArray[Any]
    """As the program has them: larger is lighter."""
    truth: Truth
    start: Point
    end: Point
    mm_per_px: float
    """As handed over, a little off."""
    true_mm_per_px: float
    count: int
    """Bones that are there."""

    @property
    def bones(self) -> tuple[TrueBone, ...]:
        """Return what is true of the bones of the ray."""
        return self.truth.rays[self.kind.ray].bones

    def proposed(self) -> RayProposal | Unknown:
        """Return what the program proposes."""
        ray = RAYS[self.kind.ray]
        return propose_along(
            self.values,
            self.start,
            self.end,
            ray,
            mm_per_px=self.mm_per_px,
            present=ray.bones[: self.count],
            ends_in_stump=self.kind.stump,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Miss:
    """How far one proposal lies from the truth."""

    what: str
    """Name of a joint, or of a point."""
    is_joint: bool
    along_mm: float
    """Along the bone, positive towards the tip."""
    away_mm: float
    """In any direction."""
    confidence_prob: float


def draw_case(
    rng: np.random.Generator, kind: Kind, pitches_mm: tuple[float, ...] = PITCHES_MM
) -> Case:
    """Draw a person, film one ray, and draw a rough line over it."""
    return with_line(rng, kind, draw_film(rng, kind, pitches_mm))


def draw_film(rng: np.random.Generator, kind: Kind, pitches_mm: tuple[float, ...]) -> PhantomFilm:
    """Draw a person and expose the one film of three on which the ray lies."""
    age = float(rng.uniform(*AGES_YEARS)) if kind.child else None
    toe = kind.ray if kind.ray is not RayName.THUMB else RayName.SECOND_TOE
    plan = random_plan(rng, Protocol(pitch_mm=pitches_mm, age_years=age, toe=toe))
    planned: PlannedFilm = plan.foot
    if kind.ray is RayName.THUMB:
        planned = plan.injured if kind.stump else plan.other
    return expose(planned.scene, planned.geometry, planned.exposure, rng)


def with_line(rng: np.random.Generator, kind: Kind, film: PhantomFilm) -> Case:
    """Draw a rough line from near the first base to near the end of the last bone."""
    true_ray = film.truth.rays[kind.ray]
    geometry = film.geometry
    share = 1 - true_ray.height_mm / geometry.source_to_detector_mm
    mm_per_px = geometry.column_pitch_mm * share
    ends = (true_ray.bones[0].base.pixel, true_ray.bones[-1].end.pixel)
    start, end = (_off(rng, place, mm_per_px, film.values.shape) for place in ends)
    return Case(
        kind=kind,
        values=film.light,
        truth=film.truth,
        start=start,
        end=end,
        mm_per_px=mm_per_px * (1 + SCALE_SD_SHARE * float(rng.standard_normal())),
        true_mm_per_px=mm_per_px,
        count=len(true_ray.bones),
    )


def _off(rng: np.random.Generator, place: Point, mm_per_px: float, shape: tuple[int, ...]) -> Point:
    """Return a place moved evenly within a disc, and kept on the film."""
    far = ROUGH_MM * float(rng.uniform()) ** 0.5 / mm_per_px
    turn = float(rng.uniform(0, 2 * pi))
    column, row = place[0] + far * cos(turn), place[1] + far * sin(turn)
    return min(max(column, 0.0), shape[1] - 1.0), min(max(row, 0.0), shape[0] - 1.0)


def is_met(case: Case, found: RayProposal | Unknown) -> bool:
    """Tell whether every joint line of a ray was met within a millimetre."""
    if isinstance(found, Unknown):
        return False
    joints = [miss for miss in misses(case, found) if miss.is_joint]
    return all(abs(miss.along_mm) <= MET_MM for miss in joints)


def misses(case: Case, found: RayProposal) -> tuple[Miss, ...]:
    """Return how far every joint and point that was proposed lies from the truth."""
    joints = [
        _miss(
            case, number, bone.joint, bone.joint_centre.pixel, joint.centre, joint.confidence_prob
        )
        for number, (bone, joint) in enumerate(zip(case.bones, found.joints, strict=True))
    ]
    points = [
        _miss(
            case,
            _bone_of(case, proposed.landmark),
            proposed.landmark,
            case.truth.pixel(proposed.landmark),
            proposed.point,
            proposed.confidence_prob,
        )
        for proposed in found.points
    ]
    return (*joints, *points)


def _bone_of(case: Case, landmark: Landmark) -> int:
    ray = RAYS[case.kind.ray]
    for number, bone in enumerate(ray.bones):
        if landmark in {bone.base, bone.head}:
            return number
    return case.count - 1


def _miss(
    case: Case, number: int, what: str | Landmark, true: Point, found: Point, prob: float
) -> Miss:
    bone = case.bones[number]
    way = np.subtract(bone.end.pixel, bone.base.pixel)
    way = way / np.hypot(*way)
    off = np.subtract(found, true) * case.true_mm_per_px
    return Miss(
        what=what if isinstance(what, str) else what.words,
        is_joint=isinstance(what, str),
        along_mm=float(off @ way),
        away_mm=hypot(*off),
        confidence_prob=prob,
    )
