"""The hand on which every thumb of a case is tried: drawn once, shared by all."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.reach import ranges
from thumbwright.core.reach.draws import Chance, chance, drawn_hand, drawn_thumb
from thumbwright.core.reach.results import PinchKind
from thumbwright.core.reach.skeleton import Digit, Hand, HandSpec, Thumb, Use
from thumbwright.core.reach.stages import places_of, stage_places
from thumbwright.core.reach.targets import Ground, Meeting, ground, key_places, pads, tips
from thumbwright.core.reach.touching import ready, touch, touch_each

PinchPlaces = Mapping[tuple[PinchKind, Digit], tuple[Meeting, ...]]
_DRAWN_PER_KEPT = 1.95
_PROVED_BY = (10, 6)
"""Stages by which a draw is judged: who reaches these reaches the others."""
WORKSPACE_DRAWS = 100
CURVE_DRAWS = 50
MOST_VARIANTS = 12
"""Lengths and joints of a thumb that are tried beside it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """A hand with all places on it, and what a whole thumb of it can do."""

    spec: HandSpec
    whole_thumb: Thumb
    chance: Chance
    hand: Hand
    ground: Ground
    stages: Mapping[int, tuple[Meeting, ...]]
    pinches: PinchPlaces
    few: tuple[Mapping[int, tuple[Meeting, ...]], PinchPlaces]
    """The places of stages and tip pinches for a few draws, once for each variant of a thumb."""
    whole_pinches: NDArray[np.bool_]
    """[place, draw] of the first draws: which pinches a whole thumb makes."""
    normal_prob: float
    """Share of the draws in which a whole thumb reached the last stage; others were put aside."""


def stand(spec: HandSpec, whole_thumb: Thumb, seed: int, draws: int) -> Standing:
    """Draw a hand, keeping only draws in which a whole normal thumb would do what one does.

    Parameters
    ----------
    spec
        The hand as stated.
    whole_thumb
        The thumb that this hand has or had, with normal joints.
    seed, draws
        Kept with every result. [-]

    Notes
    -----
    A normal thumb reaches all ten stages. Sizes, places of joints and ranges are drawn apart,
    although they belong together in one hand, so that some draws are hands nobody has: those
    in which a whole thumb misses fingertips or palm are put aside. If too few are left, those
    that are left are used again.
    """
    more = chance(seed, int(_DRAWN_PER_KEPT * draws))
    kept = np.flatnonzero(_is_normal(spec, whole_thumb, more))
    share = kept.size / more.draws
    chosen = np.resize(kept if kept.size else np.arange(more.draws), draws)
    luck = more.rows(chosen)
    hand = drawn_hand(spec, luck)
    floor = ground(hand)
    pinches = pinch_places(hand)
    few = min(WORKSPACE_DRAWS, draws)
    stages = stage_places(hand)
    whole = ready(drawn_thumb(whole_thumb, hand, luck).rows(slice(few)), floor.rows(few, 1))
    return Standing(
        spec=spec,
        whole_thumb=whole_thumb,
        chance=luck,
        hand=hand,
        ground=floor,
        stages=stages,
        pinches=pinches,
        few=_for_variants(stages, pinches, min(CURVE_DRAWS, draws)),
        whole_pinches=touch_each(whole, first_of(pinches, few)),
        normal_prob=share,
    )


def pinch_places(hand: Hand) -> PinchPlaces:
    """Return the places of every pinch; the key pinch is against the first finger there is."""
    there = [one.digit for one in hand.fingers if one.use is not Use.GONE]
    found: dict[tuple[PinchKind, Digit], tuple[Meeting, ...]] = {}
    for digit in there:
        found[PinchKind.TIP, digit] = tips(hand, digit)
        found[PinchKind.PULP, digit] = pads(hand, digit)
    if there:
        found[PinchKind.KEY, there[0]] = key_places(hand, there[0])
    return found


def _for_variants(
    stages: Mapping[int, tuple[Meeting, ...]], pinches: PinchPlaces, draws: int
) -> tuple[Mapping[int, tuple[Meeting, ...]], PinchPlaces]:
    tips = {name: places for name, places in pinches.items() if name[0] is PinchKind.TIP}
    return (
        {key: tuple(one.rows(draws, MOST_VARIANTS) for one in at) for key, at in stages.items()},
        {key: tuple(one.rows(draws, MOST_VARIANTS) for one in at) for key, at in tips.items()},
    )


def first_of(places: PinchPlaces, draws: int) -> tuple[Meeting, ...]:
    """Return all places in one row, for the first draws alone."""
    return tuple(one.rows(draws, 1) for meetings in places.values() for one in meetings)


def _is_normal(spec: HandSpec, thumb: Thumb, luck: Chance) -> NDArray[np.bool_]:
    whole = HandSpec(size=spec.size, uses=dict.fromkeys(Digit, Use.FULL))
    hand = drawn_hand(whole, luck)
    limb = ready(drawn_thumb(thumb, hand, luck), ground(hand))
    left = np.ones(luck.draws, dtype=np.bool_)
    for number in _PROVED_BY:
        left &= touch(limb, places_of(hand, number), left).reached
    return left


def normal_thumb(metacarpal_mm: float, proximal_mm: float, distal_mm: float) -> Thumb:
    """Return a whole thumb with normal joints.

    Parameters
    ----------
    metacarpal_mm, proximal_mm, distal_mm
        Its links: joint to joint, and to the bony tip. [mm]
    """
    length = metacarpal_mm + proximal_mm + distal_mm
    return Thumb(
        metacarpal_mm=metacarpal_mm,
        proximal_mm=proximal_mm,
        distal_mm=distal_mm,
        skin_beyond_bone_mm=ranges.skin_beyond(length),
        length_doubt_mm=0.0,
        hinges=ranges.normal_hinges(),
        web_deg=ranges.WEB.value,
        web_doubt_deg=ranges.WEB.uncertainty or 0.0,
        web=ranges.NORMAL_WEB,
    )
