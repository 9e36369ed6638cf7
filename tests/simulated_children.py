"""Simulated children that do not grow by the forecast's own formulas.

Bones follow the first model of Preece and Baines (1978), each child with a course of its own;
parameters of stature are from memory, unverified. Only the published ratios of finger and foot
lengths are shared with the forecast, because no other figures were found in print.
"""

from dataclasses import dataclass
from functools import cache

import numpy as np
from scipy.optimize import brentq
from tests.core.techniques.worked_situations import BY_KEY
from tests.growing_people import STATURE, child_situation, lengths_of

from thumbwright.core.case.examined import NOT_EXAMINED
from thumbwright.core.case.growing import is_growing
from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.growth.forecast import Band
from thumbwright.core.radiograph.landmarks import SECOND_TOE
from thumbwright.core.techniques.growing_thumb import summed_up
from thumbwright.core.techniques.growth_scene import set_scene
from thumbwright.core.techniques.length_reached import length_reached
from thumbwright.core.techniques.thumb_draws import Drafted
from thumbwright.core.techniques.thumb_parts import added_parts, own_parts

RECALLED_SLOW = {Sex.FEMALE: 0.132, Sex.MALE: 0.1124}
RECALLED_QUICK = {Sex.FEMALE: 1.1785, Sex.MALE: 1.2397}
RECALLED_SPURT_YEARS = {Sex.FEMALE: 12.49, Sex.MALE: 14.60}
"""Rate constants [1/years] and time of the spurt of Preece and Baines 1978, from memory."""
TRUE_OPEN_PROB = 27 / 28
OTHER_THUMB, DIFFERENCE = "other thumb", "difference of the thumbs"
PUBLISHED_RATIO = {
    ("hand", Sex.FEMALE): 1.37,
    ("hand", Sex.MALE): 1.37,
    ("foot", Sex.FEMALE): 234 / 153,
    ("foot", Sex.MALE): 258 / 156,
}
RATIO_DOUBT = 0.03
"""How far the true ratio may lie from the printed one: each child lives in a world of its own."""
SPAN_YEARS = {
    ("hand", Sex.FEMALE): (3.0, 10.0),
    ("hand", Sex.MALE): (3.0, 10.0),
    ("foot", Sex.FEMALE): (3.0, 17.0),
    ("foot", Sex.MALE): (3.0, 18.0),
}
YOUNGEST_YEARS = 3.0
OLDEST_YEARS = {Sex.FEMALE: 13.5, Sex.MALE: 15.5}
"""Ages at which a child is asked about."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How one bone of one child grows: share of its grown length by age."""

    depth: float
    slow: float
    quick: float
    spurt_years: float

    def share(self, age_years: float) -> float:
        """Return the length over the grown length."""
        since = age_years - self.spurt_years
        return float(1 - 2 * self.depth / (np.exp(self.slow * since) + np.exp(self.quick * since)))


@cache
def mean_depth(sex: Sex, limb: str, lead_years: float, ratio: float) -> float:
    """Return how deep the course lies so that a ratio of lengths is met."""
    first, last = SPAN_YEARS[limb, sex]

    def off(depth: float) -> float:
        course = mean_course(sex, depth, lead_years)
        return course.share(last) / course.share(first) - ratio

    return float(brentq(off, 0.005, 0.11))


def mean_course(sex: Sex, depth: float, lead_years: float) -> Course:
    """Return the course of the mean child."""
    return Course(
        depth=depth,
        slow=RECALLED_SLOW[sex],
        quick=RECALLED_QUICK[sex],
        spurt_years=RECALLED_SPURT_YEARS[sex] - lead_years,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One forecast against the truth of a simulated child."""

    what: str
    sex: Sex
    age_years: float
    forecast: Band
    truth_mm: float

    @property
    def in_95(self) -> bool:
        """Tell whether the band of 95 % holds the truth."""
        return self.forecast.low_95_mm <= self.truth_mm <= self.forecast.high_95_mm

    @property
    def in_50(self) -> bool:
        """Tell whether the band of 50 % holds the truth."""
        return self.forecast.low_50_mm <= self.truth_mm <= self.forecast.high_50_mm

    @property
    def error_mm(self) -> float:
        """Return forecast less truth."""
        return self.forecast.median_mm - self.truth_mm


class Simulated:
    """One child: courses of its bones, its age, and what a film would show."""

    def __init__(self, rng: np.random.Generator, sex: Sex, age_years: float) -> None:
        """Draw the child."""
        self.rng, self.sex, self.age_years = rng, sex, age_years
        self.late = float(np.exp(rng.normal(0.0, 0.075)))
        self.own = rng.normal(0.0, 1.0, 3)
        self.lead_years = round(float(rng.uniform(0.0, 1.0)), 1)
        self.ratio = {
            limb: round(float(rng.normal(PUBLISHED_RATIO[limb, sex], RATIO_DOUBT)), 2)
            for limb in ("hand", "foot")
        }

    def course(self, limb: str) -> Course:
        """Draw the course of one bone of a limb."""
        lead = self.lead_years + (0.5 if limb == "foot" else 0.0)
        mean = mean_course(self.sex, mean_depth(self.sex, limb, lead, self.ratio[limb]), lead)
        apart = 0.6 * self.own[0] + 0.8 * self.own[1 if limb == "hand" else 2]
        bone = self.rng.normal(0.0, 0.06)
        return Course(
            depth=mean.depth * (1 + 0.08 * apart + bone),
            slow=mean.slow / self.late,
            quick=mean.quick / self.late * float(np.exp(0.08 * self.own[0])),
            spurt_years=mean.spurt_years * self.late,
        )

    def bone_age_years(self) -> float:
        """Read a bone age, with the error of a reading."""
        return max(self.age_years / self.late + self.rng.normal(0.0, 0.6), 1.0)


def random_child(rng: np.random.Generator) -> tuple[Sex, float]:
    """Draw sex and age [years]."""
    sex = Sex.FEMALE if rng.random() < 0.5 else Sex.MALE
    return sex, float(rng.uniform(YOUNGEST_YEARS, OLDEST_YEARS[sex]))


def outcomes(rng: np.random.Generator, sex: Sex, age_years: float, draws: int) -> list[Outcome]:
    """Simulate one child, forecast the other thumb and the new thumb by a second toe."""
    child = Simulated(rng, sex, age_years)
    grown_mm = np.array([44.0, 30.0, 21.5, 24.0, 14.0, 11.0]) * rng.normal(1.0, 0.05)
    courses = [child.course("hand") for _ in range(3)] + [child.course("foot") for _ in range(3)]
    now = grown_mm * [course.share(age_years) for course in courses]
    seen = now + rng.normal(0.0, 0.3, 6)
    lengths = lengths_of(
        tuple(seen[:3]), stump_mm=seen[0], toes_mm={SECOND_TOE: (50.0, *seen[3:])}, doubt_mm=0.5
    )
    bone_age = child.bone_age_years() if rng.random() < 0.5 else NOT_EXAMINED
    asked = child_situation(age_years, sex, bone_age_years=bone_age, lengths=lengths)
    growing = is_growing(asked.case.patient, age_years)
    asked = child_situation(
        age_years, sex, growing=growing, bone_age_years=bone_age, lengths=lengths
    )
    technique = BY_KEY["second_toe"]
    scene = set_scene(asked, lengths, STATURE, seed=int(rng.integers(1 << 31)), draws=draws)
    assert not isinstance(scene, Unknown)
    reached = length_reached(technique, asked, lengths)
    own, added = own_parts(lengths), added_parts(technique, asked, lengths, reached)
    assert not isinstance(own, Unknown)
    assert not isinstance(added, Unknown)
    plan = Drafted(technique=technique, reached=reached, parts=(*own, *added), scene=scene)
    ages = (scene.ages_years[0], scene.ages_years[-1])
    forecast = summed_up(plan.drawn(ages), ages)
    stays = rng.random(3) < TRUE_OPEN_PROB
    share = np.where(stays, rng.triangular(0.70, 0.96, 1.02), 0.0)
    brought_mm = min(float(np.sum(now[3:])), float(np.sum(seen[1:3]))) + rng.normal(0.0, 1.0)
    toe_mm = brought_mm + float(np.sum((grown_mm[3:] - now[3:]) * share))
    other = float(np.sum(grown_mm[:3]))
    return [
        Outcome(
            what=OTHER_THUMB,
            sex=sex,
            age_years=age_years,
            forecast=forecast.other[-1],
            truth_mm=other,
        ),
        Outcome(
            what=DIFFERENCE,
            sex=sex,
            age_years=age_years,
            forecast=forecast.difference[-1],
            truth_mm=grown_mm[0] + toe_mm - other,
        ),
    ]
