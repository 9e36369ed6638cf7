"""Situations for tests: one well-examined patient, from which each test departs.

Nothing here is a real person. A test names what differs as dotted paths into the case, so that
a row of a table reads as a sentence: ``{"kept.cmc.mobile": Finding.NO}``.
"""

from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace
from datetime import date
from pathlib import Path
from typing import TypeVar

import thumbwright.core.foundations.sources as sources_module
import thumbwright.core.techniques.technique as technique_module
from thumbwright.core.case.case import Case
from thumbwright.core.case.examined import NOT_EXAMINED, Finding, Pulse, Quality, Side
from thumbwright.core.case.feet import Feet, Foot, ToeArtery, Toes, ToeState
from thumbwright.core.case.goals import Facility, Goal, Wishes
from thumbwright.core.case.hand import (
    AllenTest,
    Fingers,
    FingerState,
    Joint,
    Kept,
    Nail,
    OtherThumb,
    RecipientVessels,
    StumpSkin,
    Tendon,
    Tendons,
    VesselImaging,
    WebContracture,
)
from thumbwright.core.case.injury import Injury, LostPart, Mechanism, PartState
from thumbwright.core.case.patient import DominantHand, Patient, Sex, Smoking
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term
from thumbwright.core.foundations.sources import Source, read_bibliography
from thumbwright.core.level.levels import Level
from thumbwright.core.techniques.catalogue import read_catalogue
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

Node = TypeVar("Node")

CATALOGUE_TEXT = (Path(technique_module.__file__).parent / "catalogue.toml").read_text("utf-8")
BIBLIOGRAPHY: Mapping[str, Source] = read_bibliography(
    (Path(sources_module.__file__).parent / "bibliography.toml").read_text("utf-8")
)
TECHNIQUES: tuple[Technique, ...] = read_catalogue(CATALOGUE_TEXT, BIBLIOGRAPHY)
BY_KEY: Mapping[str, Technique] = {one.key: one for one in TECHNIQUES}

_MOVING = Joint(present=Finding.YES, mobile=Finding.YES, stable=Finding.YES)
_GONE = Joint(present=Finding.NO, mobile=Finding.NO, stable=Finding.NO)
_GOOD_FOOT = Foot(
    toes=Toes(great=ToeState.SOUND, second=ToeState.SOUND),
    dorsal_pedal_pulse=Pulse.STRONG,
    posterior_tibial_pulse=Pulse.STRONG,
    first_web_doppler=Pulse.STRONG,
    dominant_artery=ToeArtery.DORSAL,
    earlier_injury=Finding.NO,
    infection_or_ulcer=Finding.NO,
    loss_of_feeling=Finding.NO,
)


_MISSING_MM = {
    Level.TERMINAL_PHALANX: 10.0,
    Level.PROXIMAL_PHALANX: 30.0,
    Level.MCP_JOINT: 40.0,
    Level.METACARPAL: 73.0,
    Level.CMC_JOINT: 100.0,
}


def _kept(level: Level) -> Kept:
    return Kept(
        cmc=_GONE if level is Level.CMC_JOINT else _MOVING,
        mcp=_MOVING if level.value <= Level.PROXIMAL_PHALANX.value else _GONE,
        ip=_MOVING if level is Level.TERMINAL_PHALANX else _GONE,
        nail=Nail.LOST,
        pulp_lost_share=0.8 if level is Level.TERMINAL_PHALANX else 1.0,
        pulp_defect_mm=14.0 if level is Level.TERMINAL_PHALANX else 0.0,
        thenar_function=Quality.GOOD,
        first_web_contracture=WebContracture.NONE,
        stump_skin=StumpSkin.SOUND,
        stump_feeling=Quality.GOOD,
        tendons=Tendons(long_flexor=Tendon.WORKING, long_extensor=Tendon.WORKING),
    )


def _well_examined_case(level: Level, *, birth_year: int, goals: tuple[Goal, ...]) -> Case:
    return Case(
        case_id="worked",
        examined_on=date(2026, 3, 1),
        patient=Patient(
            pseudonym="W",
            birth_date=date(birth_year, 3, 1),
            sex=Sex.FEMALE,
            dominant_hand=DominantHand.RIGHT,
            smoking=Smoking.NEVER,
            diabetes=Finding.NO,
            vascular_disease=Finding.NO,
            clotting_disorder=Finding.NO,
            asa_class=1,
        ),
        injury=Injury(
            side=Side.RIGHT,
            mechanism=Mechanism.SHARP,
            happened_on=date(2025, 9, 1),
            high_voltage=Finding.NO,
            several_levels=Finding.NO,
            lost_part=LostPart(state=PartState.LOST),
        ),
        kept=_kept(level),
        other_thumb=OtherThumb.SOUND,
        fingers=Fingers(
            index=FingerState.SOUND,
            middle=FingerState.SOUND,
            ring=FingerState.SOUND,
            little=FingerState.SOUND,
        ),
        recipient_vessels=RecipientVessels(
            radial_pulse=Pulse.STRONG,
            ulnar_pulse=Pulse.STRONG,
            snuffbox_doppler=Pulse.STRONG,
            allen_test=AllenTest.BOTH_FILL,
            superficial_veins=Quality.GOOD,
            imaging=VesselImaging.NOT_DONE,
        ),
        feet=Feet(
            left=_GOOD_FOOT,
            right=_GOOD_FOOT,
            barefoot_or_thong_need=Finding.NO,
            high_foot_demand=Finding.NO,
        ),
        facility=Facility(
            microsurgery=Finding.YES,
            two_teams=Finding.YES,
            microscope=Finding.YES,
            intensive_observation=Finding.YES,
            hand_therapy=Finding.YES,
        ),
        wishes=Wishes(goals=goals),
    )


def measured_mm(value: float, uncertainty_mm: float) -> Measured:
    """Return a length with its doubt."""
    doubt = Input(key="film", name="film", standard_uncertainty=uncertainty_mm, unit="mm")
    return Measured(
        value=value, unit="mm", origin="film", terms=(Term(input=doubt, sensitivity=1.0),)
    )


def situation(
    level: Level = Level.MCP_JOINT,
    *,
    age_years: int = 30,
    goals: tuple[Goal, ...] = (),
    changes: Mapping[str, object] | None = None,
    situation_changes: Mapping[str, object] | None = None,
) -> Situation:
    """Build the situation of a well-examined patient with the changes that a test names."""
    case = _well_examined_case(level, birth_year=2026 - age_years, goals=goals)
    for path, value in (changes or {}).items():
        case = changed(case, path, value)
    built = Situation(
        case=case,
        age_years=float(age_years),
        growing=age_years < 14,
        plausible_levels=(level,),
        level_prob={level: 1.0},
        missing_length_mm=measured_mm(_MISSING_MM[level], 1.0),
        metacarpal_left_mm=measured_mm(45.0 if level.value <= 3 else 30.0, 1.0),
        days_since_loss=181.0,
    )
    for name, value in (situation_changes or {}).items():
        built = changed(built, name, value)
    return built


def changed(node: Node, path: str, value: object) -> Node:
    """Return a copy of a nested dataclass with one field replaced, by its dotted path."""
    name, _, rest = path.partition(".")
    if rest:
        value = changed(getattr(node, name), rest, value)
    return replace(node, **{name: value})  # type: ignore[type-var]


def at(node: object, path: str) -> object:
    """Return what stands at a dotted path."""
    for name in path.split("."):
        node = getattr(node, name)
    return node


def unexamined(case: Case) -> Case:
    """Return the same person before anyone has looked at anything that may be unexamined."""
    for path in examinable_paths(case):
        kind = type(at(case, path))
        value = getattr(kind, "NOT_EXAMINED", NOT_EXAMINED)
        case = changed(case, path, value)
    return case


def examinable_paths(node: object, prefix: str = "") -> tuple[str, ...]:
    """Return every path of a case whose value may also be *not examined*."""
    paths: list[str] = []
    for one in fields(node):  # type: ignore[arg-type]
        value, path = getattr(node, one.name), f"{prefix}{one.name}"
        if is_dataclass(value):
            paths.extend(examinable_paths(value, f"{path}."))
        elif hasattr(type(value), "NOT_EXAMINED"):
            paths.append(path)
    return (*paths, *_NUMBERS_OF_A_CASE) if not prefix else tuple(paths)


_NUMBERS_OF_A_CASE = (
    "patient.asa_class",
    "kept.pulp_lost_share",
    "kept.pulp_defect_mm",
)

ACUTE: Mapping[str, object] = {
    "injury.happened_on": date(2026, 3, 1),
    "injury.lost_part": LostPart(state=PartState.KEPT_COOL, warm_hours=1.0, cool_hours=4.0),
    "kept.stump_skin": StumpSkin.OPEN_WOUND,
}
ACUTE_DAYS: Mapping[str, object] = {"days_since_loss": 0.0}
UNKNOWN_LEVEL: Mapping[str, object] = {
    "level_prob": Unknown(reason="no film was taken", needed=("a film of the injured hand",)),
    "plausible_levels": (),
}
