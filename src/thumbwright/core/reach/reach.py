"""Will a thumb reach? Opposition, pinches, grasp and what would change them."""

from collections.abc import Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.sources import Statement
from thumbwright.core.reach.draws import drawn_thumb
from thumbwright.core.reach.forward import thumb_pose
from thumbwright.core.reach.grasp import CONSTRUCT, widest_grasp_mm
from thumbwright.core.reach.results import (
    Opposition,
    Pinch,
    PinchKind,
    Posture,
    Probability,
    Reach,
    Stage,
    Width,
)
from thumbwright.core.reach.rotations import angle_of
from thumbwright.core.reach.skeleton import Digit, Thumb
from thumbwright.core.reach.stages import RULE, STAGES, TIP_STAGES, counted, highest
from thumbwright.core.reach.standing import WORKSPACE_DRAWS, Standing, first_of
from thumbwright.core.reach.targets import Meeting
from thumbwright.core.reach.touching import Ready, Touch, ready, touch, touch_each
from thumbwright.core.reach.variants import curve_and_effects

_FEWEST_FOR_A_POSTURE = 10
"""A middle posture of fewer draws is not told [-]."""


def reach_of(thumb: Thumb, standing: Standing, key: str = "") -> Reach:
    """Tell where a thumb can be put.

    Parameters
    ----------
    thumb
        The thumb, as it is or as a technique would leave it.
    standing
        The hand, drawn once for all thumbs that are compared.
    key
        Of the technique.

    Returns
    -------
    Reach
        Each probability is the share of draws, with its Monte-Carlo error; what it rests on
        stands with the hinges of the thumb.

    Notes
    -----
    Everything is geometry: a place counts as reached if the thumb can be brought there within its
    ranges, with the skins facing each other where that is asked. Strength, feeling and tendons
    are not looked at.
    """
    chain = drawn_thumb(thumb, standing.hand, standing.chance)
    limb = ready(chain, standing.ground)
    touches = {name: touch(limb, places) for name, places in standing.pinches.items()}
    curve, effects = curve_and_effects(thumb, standing)
    width = widest_grasp_mm(chain, standing.hand)
    low, middle, high = (float(one) for one in np.percentile(width, (2.5, 50, 97.5)))
    return Reach(
        key=key,
        thumb=thumb,
        hand=standing.spec,
        opposition=_opposition(limb, thumb, standing, touches),
        pinches=tuple(
            Pinch(
                kind=kind,
                digit=digit,
                reached=Probability(prob=one.share, draws=limb.draws),
                posture=_posture(one, standing.pinches[kind, digit]),
            )
            for (kind, digit), one in touches.items()
        ),
        widest_grasp=Width(middle_mm=middle, low_mm=low, high_mm=high),
        workspace_share=_workspace_share(thumb, standing),
        curve=curve,
        effects=effects,
        remarks=_remarks(thumb, standing),
        draws=limb.draws,
        seed=standing.chance.seed,
    )


def _opposition(
    limb: Ready,
    thumb: Thumb,
    standing: Standing,
    touches: Mapping[tuple[PinchKind, Digit], Touch],
) -> Opposition:
    found: dict[int, Touch] = {}
    for number, places in standing.stages.items():
        pinch = touches.get((PinchKind.TIP, places[0].digit)) if number in TIP_STAGES else None
        found[number] = touch(limb, places) if pinch is None else _or_touched(limb, places, pinch)
    alone = {number: one.reached for number, one in found.items()}
    with_earlier = counted(alone)
    best = highest(with_earlier) if with_earlier else np.full(limb.draws, -1, dtype=np.int16)
    middle = int(np.median(best))
    nothing = Unknown(reason="in most draws not even the first stage is reached")
    return Opposition(
        stages=tuple(
            Stage(
                number=rule.number,
                words=rule.words,
                touched=_probability(alone, rule.number, rule.digit.value),
                counted=_probability(with_earlier, rule.number, rule.digit.value),
            )
            for rule in STAGES
        ),
        highest=nothing if middle < 0 else middle,
        highest_prob={
            number: float((best == number).mean()) for number in (-1, *sorted(with_earlier))
        },
        rotation_deg=_rotation(found, thumb, standing),
    )


def _or_touched(limb: Ready, places: Sequence[Meeting], pinch: Touch) -> Touch:
    """Ask of a fingertip only the draws that do not pinch it, since a pinch touches it too."""
    more = touch(limb, places, ~pinch.reached)
    return Touch(
        reached=pinch.reached | more.reached,
        meeting=np.where(pinch.reached, pinch.meeting, more.meeting),
        angles_deg=np.where(pinch.reached, pinch.angles_deg, more.angles_deg),
    )


def _probability(
    touched: Mapping[int, NDArray[np.bool_]], number: int, finger: str
) -> Probability | Unknown:
    if number not in touched:
        return Unknown(reason=f"there is no {finger} finger to touch")
    here = touched[number]
    return Probability(prob=float(here.mean()), draws=int(here.size))


def _rotation(found: Mapping[int, Touch], thumb: Thumb, standing: Standing) -> float | Unknown:
    """Return how far the pulp has turned towards the palm at the farthest fingertip [deg].

    Notes
    -----
    Measured about the long axis of the hand, from facing the little finger's side (0) to facing
    the palm (90). Beyond the little finger's tip it does not rise any more.
    """
    for number in (6, 5, 4, 3):
        one = found.get(number)
        if one is not None and one.share >= 0.5:
            chain = drawn_thumb(thumb, standing.hand, standing.chance)
            faces = thumb_pose(chain, standing.hand, one.angles_deg).pad_faces[one.reached]
            return float(np.median(angle_of(-faces[:, 1], -faces[:, 2])))
    return Unknown(reason="no fingertip is met in half of the draws")


def _posture(one: Touch, places: Sequence[Meeting]) -> Posture | Unknown:
    if int(one.reached.sum()) < _FEWEST_FOR_A_POSTURE:
        return Unknown(reason="too few draws reach it")
    most = int(np.bincount(one.meeting[one.reached]).argmax())
    with_it = one.meeting == most
    flexion, abduction, mcp, ip, rotation = (
        float(np.median(row)) for row in one.angles_deg[:, with_it]
    )
    return Posture(
        thumb_deg=(flexion, abduction, mcp, ip, rotation), finger_deg=places[most].bends_deg
    )


def _workspace_share(thumb: Thumb, standing: Standing) -> float:
    """Return the share of a whole thumb's pinches that this thumb makes [-]."""
    few = min(WORKSPACE_DRAWS, standing.chance.draws)
    chain = drawn_thumb(thumb, standing.hand, standing.chance).rows(slice(few))
    limb = ready(chain, standing.ground.rows(few, 1))
    places = first_of(standing.pinches, few)
    if not places:
        return 0.0
    each = touch_each(limb, places)
    whole = standing.whole_pinches
    return float((each & whole).sum() / max(int(whole.sum()), 1))


def _remarks(thumb: Thumb, standing: Standing) -> tuple[Statement, ...]:
    return (
        *thumb.remarks,
        standing.spec.size.statement,
        *standing.spec.remarks,
        RULE,
        CONSTRUCT,
    )
