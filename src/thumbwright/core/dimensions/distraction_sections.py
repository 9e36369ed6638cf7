"""A distraction as a section: gain, days, and how long the bone becomes."""

from thumbwright.core.dimensions.distraction import Course, course, healing_index
from thumbwright.core.dimensions.parts import PlanParts
from thumbwright.core.dimensions.sections import Dimension, Section, assumed, common
from thumbwright.core.dimensions.settings import ASSUMED, Allowances, DimensionSettings
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.measured import Measured
from thumbwright.core.foundations.sources import Basis, Statement
from thumbwright.core.techniques.technique import Technique


def distraction_section(
    technique: Technique, parts: PlanParts, settings: DimensionSettings
) -> Section:
    """Return the course of a distraction."""
    growing = parts.growing is True
    is_phalanx = "phalanx" in technique.key
    children = technique.added_length_in_children
    adds = children if growing and not isinstance(children, Unknown) else technique.added_length
    lengths = parts.lengths
    laid = course(
        lengths.missing,
        lengths.stump,
        adds,
        healing_index(phalanx=is_phalanx, growing=growing),
        settings.allowances,
    )
    if isinstance(laid, Unknown):
        gain = Dimension(key="gain", name="length to gain", value=laid)
        return Section(title="Distraction", dimensions=(gain,))
    return Section(
        title="Distraction",
        dimensions=_course_dimensions(laid, settings.allowances),
        statements=_course_statements(laid, settings.allowances),
    )


def _days(key: str, name: str, days: int, bases: tuple[Basis, ...], sum_: str = "") -> Dimension:
    value = Measured(value=float(days), unit="days", origin=name)
    return Dimension(key=key, name=name, value=value, arithmetic=sum_, bases=bases)


def _course_dimensions(laid: Course, allowances: Allowances) -> tuple[Dimension, ...]:
    rate = allowances.distraction_rate
    gain = laid.gain.value
    return (
        Dimension(key="gain", name="length to gain, the regenerate", value=laid.gain),
        Dimension(key="falls_short", name="missing length left over", value=laid.falls_short),
        Dimension(
            key="end_length", name="stump afterwards, CMC joint to end", value=laid.end_length
        ),
        _days(
            "latency",
            "rest before the first turn",
            laid.latency_days,
            allowances.latency_days.bases,
        ),
        _days(
            "turning",
            "days of distraction",
            laid.distraction_days,
            rate.bases,
            f"{gain:.1f} / {rate.value:g} mm a day, rounded up",
        ),
        Dimension(
            key="frame",
            name="frame on, from cut to removal",
            value=laid.frame_days,
            arithmetic=f"{laid.index.value:g} days/cm × {gain / 10:.2f} cm",
            bases=(laid.index.basis,),
        ),
        Dimension(
            key="consolidation",
            name="frame after the last turn",
            value=laid.consolidation_days,
            arithmetic=(
                f"{laid.frame_days.value:.0f} − {laid.latency_days} − {laid.distraction_days}"
            ),
        ),
    )


def _course_statements(laid: Course, allowances: Allowances) -> tuple[Statement, ...]:
    turns = allowances.distraction_steps.value
    said = [
        common(f"{turns:g} turns a day of {laid.step_mm:.2f} mm each."),
        assumed(
            "The rest before the first turn was read for the phalanx; that the metacarpal is given "
            "the same is assumed."
        ),
        common("The film decides when the frame comes off, not the day that is worked out here."),
    ]
    if not laid.fits:
        said.append(
            Statement(
                text=(
                    "By the published days for a centimetre the frame would come off before the "
                    "last turn; they do not suit this gain and rate."
                ),
                basis=ASSUMED,
            )
        )
    return tuple(said)
