"""What a longer or shorter thumb, or one joint more or less, would change."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.reach import ranges
from thumbwright.core.reach.draws import drawn_thumb
from thumbwright.core.reach.results import Curve, CurvePoint, JointEffect
from thumbwright.core.reach.skeleton import Digit, Thumb, joined
from thumbwright.core.reach.stages import TIP_STAGES, counted, highest
from thumbwright.core.reach.standing import CURVE_DRAWS, Standing
from thumbwright.core.reach.touching import ready, touch

ADDED_MM = (-30.0, -20.0, -15.0, -10.0, -5.0, 0.0, 5.0, 10.0, 15.0)
ENOUGH_STAGE = 0.25
"""A gain of less than this in the mean stage, and ..."""
ENOUGH_PROB = 0.05
"""... less than this in every tip pinch is no gain [-]; working assumptions."""
MISSED_PROB = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class _Outcome:
    stage: float
    """Mean of the highest stage that counts. [-]"""
    tips: Mapping[Digit, float]
    """Probability of a tip pinch. [-]"""


def curve_and_effects(thumb: Thumb, standing: Standing) -> tuple[Curve, tuple[JointEffect, ...]]:
    """Try a thumb at other lengths and with one joint more or less.

    Notes
    -----
    Fewer draws are used than for the thumb itself; all variants share them, so that differences
    are steadier than each value. Length is given to, or taken from, what lies beyond the MCP
    joint, in proportion; where nothing does, the metacarpal.
    """
    lengths = [longer(thumb, added) for added in ADDED_MM]
    joints = [(name, at) for name, at in _JOINTS if _can_change(thumb, at)]
    others = [_switched(thumb, at) for _, at in joints]
    outcomes = _tried([*lengths, *others], standing)
    points = outcomes[: len(lengths)]
    now = points[ADDED_MM.index(0.0)]
    effects = tuple(
        JointEffect(
            joint=name,
            now_moves=_moves(thumb, at),
            stage_change=after.stage - now.stage,
            tip_change_prob={one: after.tips[one] - now.tips[one] for one in now.tips},
        )
        for (name, at), after in zip(joints, outcomes[len(lengths) :], strict=True)
    )
    return _curve(points, standing), effects


def longer(thumb: Thumb, added_mm: float) -> Thumb:
    """Return the thumb made longer, or shorter, keeping its joints.

    Parameters
    ----------
    thumb
        The thumb.
    added_mm
        Length given to it; negative takes away, until nothing is left. [mm]
    """
    outer = thumb.proximal_mm + thumb.distal_mm
    if outer <= max(1.0, -added_mm):
        left = max(1.0, thumb.length_mm + added_mm)
        return replace(thumb, metacarpal_mm=left, proximal_mm=0.0, distal_mm=0.0)
    factor = (outer + added_mm) / outer
    return replace(
        thumb, proximal_mm=thumb.proximal_mm * factor, distal_mm=thumb.distal_mm * factor
    )


_JOINTS = (("CMC joint", (0, 1)), ("MCP joint", (2,)), ("IP joint", (3,)))
_FUSED = {
    0: ranges.fixed(ranges.CMC_STIFF_FLEXION, "Stiff in mid-opposition."),
    1: ranges.fixed(ranges.CMC_STIFF_ABDUCTION, "Stiff in mid-opposition."),
    2: ranges.fixed(ranges.MCP_FUSED, "Fused in slight flexion."),
    3: ranges.fixed(ranges.IP_FUSED, "Fused in slight flexion."),
}


def _moves(thumb: Thumb, at: Sequence[int]) -> bool:
    return any(thumb.hinges[one].moves for one in at)


def _can_change(thumb: Thumb, at: Sequence[int]) -> bool:
    """Return whether something lies beyond the joint, so that its motion would count."""
    beyond = {0: thumb.length_mm, 2: thumb.proximal_mm + thumb.distal_mm, 3: thumb.distal_mm}
    return beyond[at[0]] > 1


def _switched(thumb: Thumb, at: Sequence[int]) -> Thumb:
    """Return the thumb with one joint fused that moves, or moving normally that does not."""
    normal = ranges.normal_hinges()
    hinges = list(thumb.hinges)
    for one in at:
        hinges[one] = _FUSED[one] if _moves(thumb, at) else normal[one]
    flexion, abduction, mcp, ip, rotation = hinges
    return replace(thumb, hinges=(flexion, abduction, mcp, ip, rotation))


def _tried(thumbs: Sequence[Thumb], standing: Standing) -> list[_Outcome]:
    """Try several thumbs in one go, on the same draws."""
    few = min(CURVE_DRAWS, standing.chance.draws)
    hand = standing.hand.first(few)
    luck = standing.chance.first(few)
    count = len(thumbs)
    limb = ready(
        joined([drawn_thumb(one, hand, luck) for one in thumbs]),
        standing.ground.rows(few, count),
    )
    touched: dict[int, NDArray[np.bool_]] = {}
    tips: dict[Digit, NDArray[np.bool_]] = {}
    stages, pinches = standing.few
    rows = few * count
    for (_, digit), meetings in pinches.items():
        tips[digit] = touch(limb, [one.rows(rows, 1) for one in meetings]).reached
    for number, meetings in stages.items():
        pinched = tips.get(meetings[0].digit) if number in TIP_STAGES else None
        asked = None if pinched is None else ~pinched
        reached = touch(limb, [one.rows(rows, 1) for one in meetings], asked).reached
        touched[number] = reached if pinched is None else reached | pinched
    stage = highest(counted(touched)) if touched else np.zeros(few * count)
    parts = [slice(at * few, (at + 1) * few) for at in range(count)]
    return [
        _Outcome(
            stage=float(np.maximum(stage[part], 0).mean()),
            tips={digit: float(reached[part].mean()) for digit, reached in tips.items()},
        )
        for part in parts
    ]


def _curve(outcomes: Sequence[_Outcome], standing: Standing) -> Curve:
    points = tuple(
        CurvePoint(added_mm=added, stage=one.stage, tip_prob=one.tips)
        for added, one in zip(ADDED_MM, outcomes, strict=True)
    )
    digits = tuple(points[0].tip_prob)
    return Curve(
        points=points,
        enough_mm=_enough(points),
        missed_below_mm={digit: _missed_below(points, digit) for digit in digits},
        draws=min(CURVE_DRAWS, standing.chance.draws),
    )


def _enough(points: Sequence[CurvePoint]) -> float | Unknown:
    """Return the least length from which on nothing more is gained."""
    for at, point in enumerate(points[:-1]):
        later = points[at + 1 :]
        gains_stage = any(one.stage - point.stage >= ENOUGH_STAGE for one in later)
        gains_tip = any(
            one.tip_prob[digit] - prob >= ENOUGH_PROB
            for one in later
            for digit, prob in point.tip_prob.items()
        )
        if not (gains_stage or gains_tip):
            return point.added_mm
    return Unknown(reason=f"it still gains at {ADDED_MM[-1]:.0f} mm more, the longest tried")


def _missed_below(points: Sequence[CurvePoint], digit: Digit) -> float | Unknown:
    """Return the least length with which a finger is met in half of the draws or more."""
    met = [point.added_mm for point in points if point.tip_prob[digit] >= MISSED_PROB]
    if not met:
        return Unknown(reason=f"the {digit.value} finger is missed at every length that was tried")
    if met[0] == points[0].added_mm:
        return Unknown(reason=f"the {digit.value} finger is met at every length that was tried")
    return met[0]
