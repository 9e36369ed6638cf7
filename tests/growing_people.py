"""Children for tests of growth: lengths and situations made by hand, with a second toe as donor."""

from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path

from tests.core.techniques.worked_situations import situation

import thumbwright.core.growth.stature as stature_module
from thumbwright.core.case.examined import NOT_EXAMINED, NotExamined, Side
from thumbwright.core.case.patient import Sex
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference
from thumbwright.core.foundations.sources import Basis, Provenance
from thumbwright.core.growth.stature import read_stature
from thumbwright.core.level.levels import Level
from thumbwright.core.radiograph.landmarks import GREAT_TOE, SECOND_TOE, Ray
from thumbwright.core.radiograph.lengths import Lengths, RayLengths
from thumbwright.core.radiograph.measurement import NamedLength
from thumbwright.core.radiograph.transposition import JointHeight
from thumbwright.core.radiograph.wanted_length import WantedLength
from thumbwright.core.techniques.situation import Situation

STATURE = read_stature(
    (Path(stature_module.__file__).parent / "cdc_stature_for_age.csv").read_text("utf-8")
)
GIRL_THUMB_MM = (34.0, 25.0, 18.0)
"""Metacarpal, proximal and distal phalanx, joint to joint."""
GIRL_TOES_MM: Mapping[Ray, Sequence[float]] = {
    SECOND_TOE: (53.0, 20.0, 11.0, 10.0),
    GREAT_TOE: (41.0, 23.0, 19.0),
}
"""Metatarsal and phalanges."""
_UNKNOWN = Unknown(reason="it is not asked for here")


def mm(value: float, doubt_mm: float, key: str) -> Measured:
    """Return a length with one doubt of its own."""
    doubt = Input(key=key, name=key, standard_uncertainty=doubt_mm, unit="mm")
    return Measured(value=value, unit="mm", origin=key, terms=(Term(input=doubt, sensitivity=1.0),))


def lengths_of(
    thumb_mm: Sequence[float] = GIRL_THUMB_MM,
    *,
    stump_mm: float = 34.0,
    toes_mm: Mapping[Ray, Sequence[float]] | None = None,
    doubt_mm: float = 0.4,
) -> Lengths:
    """Return the lengths of a child: a whole thumb, a stump, toes."""
    whole = mm(sum(thumb_mm), doubt_mm, "other thumb")
    tips = [whole, *(mm(sum(thumb_mm[at:]), 0.0, f"joint {at}") for at in (1, 2))]
    joints = tuple(
        JointHeight(name=name, from_tip=tip)
        for name, tip in zip(("CMC joint", "MCP joint", "IP joint"), tips, strict=True)
    )
    stump = mm(stump_mm, doubt_mm, "stump")
    toes = GIRL_TOES_MM if toes_mm is None else toes_mm
    return Lengths(
        rays=tuple(_toe(ray, bones, doubt_mm) for ray, bones in toes.items()),
        wanted=WantedLength(
            length=whole,
            joints=joints,
            basis=Basis(provenance=Provenance.COMMON_PRACTICE),
            words="made by hand",
        ),
        stump=stump,
        stump_beyond_mcp=_UNKNOWN,
        metacarpal_left=stump,
        missing=difference(whole, stump, origin="missing"),
        lost_joints=(),
        toes=(),
        remarks=(),
    )


def _toe(ray: Ray, bones_mm: Sequence[float], doubt_mm: float) -> RayLengths:
    lengths = [
        mm(value, doubt_mm / 2, f"{ray.name.value} {bone.name}")
        for bone, value in zip(ray.bones, bones_mm, strict=True)
    ]
    terms = tuple(term for length in lengths for term in length.terms)
    whole = Measured(value=sum(bones_mm), unit="mm", origin=ray.name.value, terms=terms)
    return RayLengths(
        film="foot",
        side=Side.LEFT,
        ray=ray,
        bones=tuple(
            NamedLength(name=bone.name, length=length)
            for bone, length in zip(ray.bones, lengths, strict=True)
        ),
        whole=whole,
        skin_beyond_bone=_UNKNOWN,
    )


def child_situation(
    age_years: float,
    sex: Sex = Sex.FEMALE,
    *,
    growing: bool | Unknown = True,
    bone_age_years: float | NotExamined = NOT_EXAMINED,
    lengths: Lengths | None = None,
    level: Level = Level.MCP_JOINT,
) -> Situation:
    """Return the situation of a child that is well examined."""
    measured = lengths_of() if lengths is None else lengths
    days = round(age_years * 365.2425)
    return situation(
        level,
        age_years=int(age_years),
        changes={
            "patient.sex": sex,
            "patient.birth_date": date.fromordinal(date(2026, 3, 1).toordinal() - days),
            "patient.bone_age_years": bone_age_years,
        },
        situation_changes={
            "age_years": float(age_years),
            "growing": growing,
            "missing_length_mm": measured.missing,
            "metacarpal_left_mm": measured.metacarpal_left,
        },
    )
