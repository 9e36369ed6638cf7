"""Published effects of facts on outcomes, one for each publication, and how they are read."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum
from math import log

from scipy.special import ndtri

from thumbwright.core.evidence.outcomes import Outcome
from thumbwright.core.evidence.study_table import Line, read_lines
from thumbwright.core.foundations.sources import Basis, Source
from thumbwright.core.techniques.technique import Family, Technique


class Fact(Enum):
    """A fact of which somebody published what it does to an outcome."""

    SMOKES = "smokes"
    DIABETES = "diabetes"
    VASCULAR_DISEASE = "vascular_disease"
    NOT_CLEAN_CUT = "not_clean_cut"
    LONG_ISCHAEMIA = "long_ischaemia"
    OVER_45 = "over_45"
    STOPPED_A_WEEK_BEFORE = "stopped_a_week_before"
    STOPPED_A_WEEK_AFTER = "stopped_a_week_after"
    VEIN_GRAFT = "vein_graft"
    BONE_NOT_SHORTENED = "bone_not_shortened"
    THROMBOSIS = "thrombosis"
    FLAP_WITHOUT_BLOOD_2_HOURS = "flap_without_blood_2_hours"
    LONG_OPERATION = "long_operation"

    @property
    def words(self) -> str:
        """Return the fact as it is printed."""
        return _WORDS[self]

    @property
    def is_of_the_case(self) -> bool:
        """Return whether it can be known before the operation, from the case alone."""
        return self in _OF_THE_CASE

    @property
    def why_not_known(self) -> str:
        """Return why the case does not tell it, as the end of a sentence with *because*."""
        if self in {Fact.STOPPED_A_WEEK_BEFORE, Fact.STOPPED_A_WEEK_AFTER}:
            return "it is still in the patient's hands"
        if self.is_of_the_case:
            return "the case does not say it"
        return "it is decided or seen only at the operation or after"


_OF_THE_CASE = {
    Fact.SMOKES,
    Fact.DIABETES,
    Fact.VASCULAR_DISEASE,
    Fact.NOT_CLEAN_CUT,
    Fact.LONG_ISCHAEMIA,
    Fact.OVER_45,
}
_WORDS = {
    Fact.SMOKES: "smoking",
    Fact.DIABETES: "diabetes",
    Fact.VASCULAR_DISEASE: "disease of the arteries",
    Fact.NOT_CLEAN_CUT: "a loss that was no clean cut",
    Fact.LONG_ISCHAEMIA: "eight hours or more without blood",
    Fact.OVER_45: "an age above 45 years",
    Fact.STOPPED_A_WEEK_BEFORE: "smoking stopped a week before the operation",
    Fact.STOPPED_A_WEEK_AFTER: "smoking stopped until a week after the operation",
    Fact.VEIN_GRAFT: "a vein graft",
    Fact.BONE_NOT_SHORTENED: "bone not shortened",
    Fact.THROMBOSIS: "a clot after the operation",
    Fact.FLAP_WITHOUT_BLOOD_2_HOURS: "two hours or more of the transfer without blood",
    Fact.LONG_OPERATION: "each half hour more of operating",
}


class Setting(Enum):
    """What kind of operation an effect was published for."""

    REPLANTATION = "replantation"
    FREE_TRANSFER = "free_transfer"


class FindingKind(Enum):
    """In which form an effect was published."""

    ODDS_RATIO = "odds_ratio"
    NO_INTERVAL = "no_interval"
    NO_EFFECT = "no_effect"
    DIRECTION = "direction"


@dataclass(frozen=True, slots=True, kw_only=True)
class RiskFactor:
    """What one publication says of one fact and one outcome."""

    key: str
    fact: Fact
    setting: Setting
    outcome: Outcome
    finding: FindingKind
    odds_ratio: float | None
    """Odds with the fact over odds without; None where none was printed. [-]"""
    low_ratio: float | None
    high_ratio: float | None
    people_share: float | None
    """Share of people in such series who have the fact: a working assumption; None if unused."""
    basis: Basis
    note: str

    @property
    def log_odds(self) -> float:
        """Return the logarithm of the odds ratio [log odds]; 0 where none was found."""
        return log(self.odds_ratio) if self.odds_ratio else 0.0

    @property
    def sd_log_odds(self) -> float:
        """Return the doubt of the logarithm, from the printed interval [log odds]."""
        if self.low_ratio is None or self.high_ratio is None:
            return 0.0
        return (log(self.high_ratio) - log(self.low_ratio)) / (2 * float(ndtri(0.975)))


def setting_of(technique: Technique) -> Setting | None:
    """Return which published effects may be asked about a technique; None if none may."""
    if technique.family is Family.REPLANTATION:
        return Setting.REPLANTATION
    return Setting.FREE_TRANSFER if technique.needs_microsurgery else None


COLUMNS = (
    *("key", "fact", "setting", "outcome", "finding", "odds_ratio", "low", "high"),
    *("people_share", "provenance", "source", "locator", "note"),
)
"""Columns of the table of risk factors."""


def read_risk_factors(
    text: str, bibliography: Mapping[str, Source] | None = None
) -> tuple[RiskFactor, ...]:
    """Read the table of risk factors.

    Raises
    ------
    KnowledgeError
        With the line and what is allowed there.
    """
    lines = read_lines(text, "the table of risk factors", COLUMNS)
    factors = tuple(_factor(line, bibliography) for line in lines)
    seen: set[str] = set()
    for factor, line in zip(factors, lines, strict=True):
        if factor.key in seen:
            raise line.fault(f"the key '{factor.key}' twice", "each key once")
        seen.add(factor.key)
    return factors


def _factor(line: Line, bibliography: Mapping[str, Source] | None) -> RiskFactor:
    factor = RiskFactor(
        key=line.text("key"),
        fact=line.member("fact", Fact),
        setting=line.member("setting", Setting),
        outcome=line.member("outcome", Outcome),
        finding=line.member("finding", FindingKind),
        odds_ratio=line.number_or_none("odds_ratio"),
        low_ratio=line.number_or_none("low"),
        high_ratio=line.number_or_none("high"),
        people_share=line.number_or_none("people_share"),
        basis=line.basis(bibliography),
        note=line.cells["note"],
    )
    _check(factor, line)
    return factor


def _check(factor: RiskFactor, line: Line) -> None:
    ratios = (factor.odds_ratio, factor.low_ratio, factor.high_ratio)
    given = tuple(ratio is not None for ratio in ratios)
    wanted = {
        FindingKind.ODDS_RATIO: (True, True, True),
        FindingKind.NO_INTERVAL: (True, False, False),
    }.get(factor.finding, (False, False, False))
    if given != wanted:
        raise line.fault(
            f"ratios that do not fit '{factor.finding.value}'",
            "a ratio with both ends for odds_ratio, alone for no_interval, none for the others",
        )
    known = [ratio for ratio in (factor.low_ratio, factor.odds_ratio, factor.high_ratio) if ratio]
    if known != sorted(known) or any(ratio is not None and ratio <= 0 for ratio in ratios):
        raise line.fault("ratios out of order", "ratios above 0, within their interval")
    share = factor.people_share
    if share is not None and not 0 < share < 1:
        raise line.fault(f"{share} under 'people_share'", "a share between 0 and 1")
    is_applied = factor.fact.is_of_the_case and factor.finding is FindingKind.ODDS_RATIO
    if is_applied and share is None:
        raise line.fault("no 'people_share'", "a share, as the effect is applied")
