"""Distraction: when it begins, how fast, how long the frame stays, how long the bone becomes."""

from dataclasses import dataclass
from math import ceil, sqrt

from thumbwright.core.dimensions.settings import Allowances
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Input, Measured, Term, difference, total
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.techniques.technique import Span

HEALING_METACARPAL = Published(
    value=49.6,
    uncertainty=8.3,
    unit="days/cm",
    basis=Basis(
        provenance=Provenance.DERIVED,
        source="saleem-2019",
        locator="124 days (93 to 165) for 25 mm; the range taken as even over that gain",
    ),
)
"""Whole treatment over the gain, of the first metacarpal of adults."""
HEALING_PHALANX = Published(
    value=42.5,
    unit="days/cm",
    basis=Basis(provenance=Provenance.READ, source="cansu-2015", locator="abstract"),
)
HEALING_CHILD = Published(
    value=81.0,
    unit="days/cm",
    basis=Basis(provenance=Provenance.READ, source="pannier-children", locator="abstract"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """One distraction from the cut of the bone to the frame's removal."""

    gain: Measured
    """[mm]"""
    falls_short: Measured
    """Missing less gain. [mm]"""
    end_length: Measured | Unknown
    """Stump with its regenerate. [mm]"""
    latency_days: int
    distraction_days: int
    step_mm: float
    frame_days: Measured
    """From the cut to the frame's removal. [days]"""
    consolidation_days: Measured
    """From the last turn to the frame's removal. [days]"""
    index: Published
    fits: bool
    """Whether the frame stays at least until the last turn."""


def healing_index(*, phalanx: bool, growing: bool) -> Published:
    """Return the published days for a centimetre [days/cm]."""
    if growing:
        return HEALING_CHILD
    return HEALING_PHALANX if phalanx else HEALING_METACARPAL


def course(
    missing: Measured | Unknown,
    stump: Measured | Unknown,
    adds: Span | Unknown,
    index: Published,
    allowances: Allowances,
) -> Course | Unknown:
    """Lay out one distraction.

    Parameters
    ----------
    missing, stump
        Bone that is missing, and bone that is left from the CMC joint. [mm]
    adds
        Published span of what the technique gains; its upper end limits the gain. [mm]
    index
        Days for a centimetre. [days/cm]
    allowances
        Rest before it begins, rate and turns a day.

    Notes
    -----
    Frame days = index x gain, both of [saleem-2019]_ or of the series named with the index;
    a series without a spread gives the index no doubt of its own.
    """
    if isinstance(missing, Unknown):
        return missing
    if missing.value <= 0:
        return Unknown(reason="no bone is missing")
    gain = _gain(missing, adds)
    rate = allowances.distraction_rate.value
    frame = _frame(gain, index)
    latency = ceil(allowances.latency_days.value)
    turning = ceil(round(gain.value / rate, 6))
    held = Measured(value=float(latency + turning), unit="days", origin="latency and distraction")
    consolidation = difference(frame, held, origin="consolidation")
    return Course(
        gain=gain,
        falls_short=difference(missing, gain, origin="missing less gain"),
        end_length=stump
        if isinstance(stump, Unknown)
        else total((stump, gain), origin="stump and gain"),
        latency_days=latency,
        distraction_days=turning,
        step_mm=rate / allowances.distraction_steps.value,
        frame_days=frame,
        consolidation_days=consolidation,
        index=index,
        fits=consolidation.value >= 0,
    )


def _gain(missing: Measured, adds: Span | Unknown) -> Measured:
    if isinstance(adds, Span) and missing.value > adds.high:
        return Measured(value=adds.high, unit="mm", origin="most that print says is gained")
    return missing


def _frame(gain: Measured, index: Published) -> Measured:
    per_mm = index.value / 10
    spread = Input(
        key=f"healing index {index.basis.source}",
        name="days for a centimetre, between people",
        standard_uncertainty=(index.uncertainty or 0.0) / 10,
        unit="days/mm",
        basis=index.basis.locator,
    )
    return Measured(
        value=per_mm * gain.value,
        unit="days",
        origin="days for a centimetre times the gain",
        terms=(
            *(Term(input=term.input, sensitivity=term.sensitivity * per_mm) for term in gain.terms),
            Term(input=spread, sensitivity=gain.value),
        ),
    )


def even_spread(low: float, high: float) -> float:
    """Return the standard uncertainty of a value that lies evenly in a range [same unit].

    Examples
    --------
    >>> round(even_spread(93, 165) / 2.5, 1)
    8.3
    """
    return (high - low) / sqrt(12)
