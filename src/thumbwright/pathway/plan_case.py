"""From facts and films to ranked options. Read this file first."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from thumbwright.core.case.case import Case
from thumbwright.core.case.contradictions import contradictions
from thumbwright.core.case.examined import NotExamined
from thumbwright.core.case.growing import is_growing
from thumbwright.core.case.patient import age_years
from thumbwright.core.comparison.criteria_data import Criteria
from thumbwright.core.comparison.ranking import FirstRanking, rank
from thumbwright.core.evidence.risk_factor import RiskFactor
from thumbwright.core.evidence.study import StudyArm
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import CaseFileError, Fault
from thumbwright.core.foundations.measured import Measured, difference
from thumbwright.core.foundations.sources import Source
from thumbwright.core.growth.stature import StatureTable
from thumbwright.core.level.classification import LevelFinding, classify
from thumbwright.core.level.schemes import SchemeFinding, in_published_schemes, stump_phalanx
from thumbwright.core.outlook.consequences import Consequences
from thumbwright.core.radiograph.film_reading import FilmReading, read_out
from thumbwright.core.radiograph.image import Film, Region
from thumbwright.core.radiograph.landmarks import FilmNotes
from thumbwright.core.radiograph.lengths import DonorToe, Lengths, film_of, measure
from thumbwright.core.radiograph.width_match import WidthMatch, match_widths
from thumbwright.core.techniques.eligibility import Eligibility, eligible_all
from thumbwright.core.techniques.situation import Situation
from thumbwright.core.techniques.technique import Technique

Progress = Callable[[str], None]
"""Called with what is about to be done."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Knowledge:
    """What the program knows beside the case: techniques and their sources."""

    techniques: tuple[Technique, ...]
    bibliography: Mapping[str, Source]
    studies: tuple[StudyArm, ...]
    """Arms of published studies."""
    risk_factors: tuple[RiskFactor, ...]
    """Published effects of facts on outcomes."""
    stature: StatureTable
    """Stature for age, the clock of growth."""
    consequences: Consequences
    """What events after an operation cost the patient."""
    criteria: Criteria
    """What techniques are weighed by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToePlan:
    """One toe as a donor of length, with the width of its bone against that of the stump."""

    toe: DonorToe
    widths: WidthMatch | Unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that follows from the facts; it decides nothing."""

    case: Case
    made_on: date
    readings: tuple[FilmReading, ...]
    lengths: Lengths
    toes: tuple[ToePlan, ...]
    level: LevelFinding
    schemes: tuple[SchemeFinding, ...]
    situation: Situation
    options: tuple[Eligibility, ...]
    ranking: FirstRanking


def plan_case(
    case: Case,
    films: Mapping[str, Film],
    notes: FilmNotes,
    known: Knowledge,
    today: date,
    tell: Progress = lambda _: None,
) -> Plan:
    """Walk one case from its facts to ranked options.

    Parameters
    ----------
    case, films, notes
        Facts, films by file name, and what is said of each film.
    known
        Techniques and sources.
    today
        Day of the plan.
    tell
        Told what is about to be done.

    Raises
    ------
    CaseFileError
        If facts of the case contradict each other, or the day of the plan lies before them; all
        contradictions are named.
    FilmMismatchError
        If a film says another side, view or body part than the case.
    """
    clashes = (*contradictions(case), *_too_early(case, today))
    if clashes:
        raise CaseFileError(f"case {case.case_id}", clashes)
    tell("calibrating the films")
    readings = tuple(read_out(films[note.file], note) for note in notes.films)
    tell("measuring the bones")
    lengths = measure(case, readings)
    toes = _toes(case, readings, lengths)
    tell("naming the level")
    level = classify(case.kept, lengths.wanted.joints, lengths.missing)
    situation = situate(case, lengths, level, today)
    schemes = in_published_schemes(
        case,
        situation.age_years,
        level.level,
        _phalanx_left(case, level, lengths),
        _beyond_mcp(lengths),
    )
    tell("weighing the techniques")
    options = eligible_all(known.techniques, situation)
    ranking = rank(options, situation)
    return Plan(
        case=case,
        made_on=today,
        readings=readings,
        lengths=lengths,
        toes=toes,
        level=level,
        schemes=schemes,
        situation=situation,
        options=options,
        ranking=ranking,
    )


def _too_early(case: Case, today: date) -> tuple[Fault, ...]:
    if today >= case.examined_on:
        return ()
    fault = Fault(
        path="day of the plan and examined_on",
        given=f"{today} and {case.examined_on}",
        allowed="a plan on the day of the examination or later",
        advice="correct the one or the other",
    )
    return (fault,)


def situate(case: Case, lengths: Lengths, level: LevelFinding, today: date) -> Situation:
    """Put together what the rules of the techniques ask for."""
    years = age_years(case.patient, today)
    happened = case.injury.happened_on
    return Situation(
        case=case,
        age_years=years,
        growing=is_growing(case.patient, years),
        plausible_levels=level.plausible,
        level_prob=level.probabilities if not level.conflict else _conflict(level),
        missing_length_mm=lengths.missing,
        metacarpal_left_mm=lengths.metacarpal_left,
        days_since_loss=(
            Unknown(reason="the day of the loss is not known", needed=("day of the loss",))
            if isinstance(happened, NotExamined)
            else float((today - happened).days)
        ),
    )


def _conflict(level: LevelFinding) -> Unknown:
    return level.level if isinstance(level.level, Unknown) else Unknown(reason=level.conflict)


def _phalanx_left(case: Case, level: LevelFinding, lengths: Lengths) -> Measured | Unknown:
    bones = [
        bone
        for ray in lengths.rays
        if ray.ray.region is Region.HAND and ray.side is case.injury.side
        for bone in ray.bones
    ]
    return stump_phalanx(level.level, bones, lengths.stump_beyond_mcp)


def _beyond_mcp(lengths: Lengths) -> Measured | Unknown:
    """Return how far the stump ends beyond the MCP joint of the pattern thumb [mm]."""
    joints = [joint.from_tip for joint in lengths.wanted.joints if joint.name == "MCP joint"]
    if isinstance(lengths.missing, Unknown):
        return lengths.missing
    if not joints or isinstance(joints[0], Unknown):
        return Unknown(reason="the MCP joint of the pattern thumb was not marked")
    return difference(joints[0], lengths.missing, origin="end of the stump beyond the MCP joint")


def _toes(case: Case, readings: Sequence[FilmReading], lengths: Lengths) -> tuple[ToePlan, ...]:
    hand, _ = film_of(readings, Region.HAND, case.injury.side)
    found = []
    for toe in lengths.toes:
        foot, _ = film_of(readings, Region.FOOT, toe.side)
        widths = (
            Unknown(reason=f"no cut was found ({toe.cut.reason})", needed=toe.cut.needed)
            if isinstance(toe.cut, Unknown)
            else match_widths(hand, foot, toe.cut)
        )
        found.append(ToePlan(toe=toe, widths=widths))
    return tuple(found)
