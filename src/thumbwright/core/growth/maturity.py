"""How mature a child is, which bones carry a plate at which end, and whether it is still open."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from math import hypot

import numpy as np
from scipy.special import ndtr

from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.growing import UNION_BY_YEARS, UNION_FROM_YEARS
from thumbwright.core.case.patient import Patient, Sex
from thumbwright.core.foundations.errors import KnowledgeError
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.growth.allometry import Limb
from thumbwright.core.growth.stature import Floats

TEMPO_SPREAD = Published(
    value=0.08,
    unit="-",
    basis=Basis(
        provenance=Provenance.RECALLED,
        source="greulich-pyle-1959",
        locator="spread of skeletal age about 0.8 years at 10, from memory",
    ),
)
"""Standard deviation of skeletal age between healthy children over their age."""
BONE_AGE_DOUBT = Published(
    value=0.6,
    unit="years",
    basis=Basis(
        provenance=Provenance.RECALLED,
        source="greulich-pyle-1959",
        locator="two readings of one film, from memory",
    ),
)
"""Standard uncertainty of a bone age that was read from a film."""
_HAND_TEXT = Basis(provenance=Provenance.READ, source="gray-1918", locator="p. 231")
_FOOT_TEXT = Basis(provenance=Provenance.READ, source="gray-1918", locator="p. 276")
_FOOT_UNITES_LATER_YEARS = 0.3
"""Plates of the foot unite slightly later than those of the hand: read; how much, assumed."""


class BoneEnd(Enum):
    """An end of a tubular bone."""

    BASE = "base"
    HEAD = "head"


class PlateState(Enum):
    """Whether a growth plate still grows."""

    OPEN = "open"
    CLOSED = "closed"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class Plate:
    """Which end of a bone carries its growth plate."""

    bone: str
    limb: Limb
    end: BoneEnd
    basis: Basis


def _plates(limb: Limb, ends: Mapping[str, BoneEnd], basis: Basis) -> tuple[Plate, ...]:
    return tuple(Plate(bone=bone, limb=limb, end=end, basis=basis) for bone, end in ends.items())


_PHALANGES = ("proximal phalanx", "middle phalanx", "distal phalanx")
PLATES: tuple[Plate, ...] = (
    *_plates(
        Limb.HAND,
        {
            "first metacarpal": BoneEnd.BASE,
            "metacarpal 2 to 5": BoneEnd.HEAD,
            **dict.fromkeys(_PHALANGES, BoneEnd.BASE),
        },
        _HAND_TEXT,
    ),
    *_plates(
        Limb.FOOT,
        {
            "first metatarsal": BoneEnd.BASE,
            "second metatarsal": BoneEnd.HEAD,
            **dict.fromkeys(_PHALANGES, BoneEnd.BASE),
        },
        _FOOT_TEXT,
    ),
)
"""The one plate of each bone; traces at the other end are variants and no second plate."""


def plate_of(limb: Limb, bone: str) -> Plate:
    """Return the plate of a bone.

    Raises
    ------
    KnowledgeError
        If the bone is not one of the hand or foot that are planned with.
    """
    known = {(plate.limb, plate.bone): plate for plate in PLATES}
    if (limb, bone) not in known:
        raise KnowledgeError(
            f"the growth plate of the {bone} ({limb.value}) was asked for; allowed are "
            f"{', '.join(sorted({name for _, name in known}))}; correct the name"
        )
    return known[limb, bone]


@dataclass(frozen=True, slots=True, kw_only=True)
class Maturity:
    """How far a child is on its way, with doubt."""

    sex: Sex
    age_years: float
    effective_years: float
    """Skeletal age, or the age by the calendar where none was read."""
    doubt_years: float
    """Standard uncertainty of the effective age."""
    is_bone_age: bool
    basis: Basis
    words: str


def maturity_of(patient: Patient, age_years: float) -> Maturity:
    """Return how mature a child is.

    Parameters
    ----------
    patient
        Sex, and bone age where a film was read for it.
    age_years
        Age by the calendar. [years]
    """
    given = patient.bone_age_years
    tempo_years = TEMPO_SPREAD.value * age_years
    if isinstance(given, NotExamined):
        return Maturity(
            sex=patient.sex,
            age_years=age_years,
            effective_years=age_years,
            doubt_years=tempo_years,
            is_bone_age=False,
            basis=TEMPO_SPREAD.basis,
            words=(
                f"No bone age was read, so the age of {age_years:.1f} years stands for it, with a "
                f"doubt of {tempo_years:.1f} years between healthy children."
            ),
        )
    # The reading is a measurement of what varies between children about the age.
    weight = tempo_years**2 / (tempo_years**2 + BONE_AGE_DOUBT.value**2)
    doubt_years = tempo_years * BONE_AGE_DOUBT.value / hypot(tempo_years, BONE_AGE_DOUBT.value)
    years = age_years + weight * (given - age_years)
    return Maturity(
        sex=patient.sex,
        age_years=age_years,
        effective_years=years,
        doubt_years=doubt_years,
        is_bone_age=True,
        basis=BONE_AGE_DOUBT.basis,
        words=(
            f"A bone age of {given:.1f} years at an age of {age_years:.1f}, weighed by the "
            f"doubt of the reading, makes {years:.1f} years with a doubt of {doubt_years:.1f}."
        ),
    )


def open_prob(sex: Sex, effective_years: float, limb: Limb = Limb.HAND) -> float:
    """Return the probability that a plate is still open at a skeletal age [-]."""
    return float(open_probs(sex, np.array([effective_years]), limb)[0])


def open_probs(sex: Sex, effective_years: Floats, limb: Limb = Limb.HAND) -> Floats:
    """Return the probability that a plate is still open, at each of many skeletal ages [-].

    Notes
    -----
    Union was seen from 12 (girls) or 16 (boys) up to 18 years in dry bones,
    [cardoso-severino-2010]_; the span is taken as four deviations of a normal spread of the age
    of union. That is derived, and coarse: all bones of a limb share it.
    """
    first, last = UNION_FROM_YEARS[sex].value, UNION_BY_YEARS.value
    later = _FOOT_UNITES_LATER_YEARS if limb is Limb.FOOT else 0.0
    middle, spread = (first + last) / 2 + later, (last - first) / 4
    found: Floats = ndtr((middle - effective_years) / spread)
    return found


def plate_state(sex: Sex, effective_years: float, limb: Limb = Limb.HAND) -> PlateState:
    """Tell whether plates are open, closed, or may be either by age alone."""
    later = _FOOT_UNITES_LATER_YEARS if limb is Limb.FOOT else 0.0
    if effective_years < UNION_FROM_YEARS[sex].value + later:
        return PlateState.OPEN
    if effective_years >= UNION_BY_YEARS.value + later:
        return PlateState.CLOSED
    return PlateState.UNKNOWN
