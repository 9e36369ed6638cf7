"""Hands and thumbs for these tests: a normal adult, drawn or without doubt."""

from dataclasses import dataclass, replace
from functools import cache

import numpy as np

from thumbwright.core.reach import ranges
from thumbwright.core.reach.draws import Chance, drawn_hand, drawn_thumb
from thumbwright.core.reach.proportions import hand_by_thumb
from thumbwright.core.reach.reach import reach_of
from thumbwright.core.reach.results import Reach
from thumbwright.core.reach.skeleton import Digit, Hand, HandSpec, Hinge, Thumb, Use
from thumbwright.core.reach.standing import Standing, normal_thumb, stand
from thumbwright.core.reach.targets import Ground, ground
from thumbwright.core.reach.touching import Ready, ready

ADULT = normal_thumb(47.7, 33.1, 21.7)
SPEC = HandSpec(size=hand_by_thumb(102.5, 0.4, "a film"), uses=dict.fromkeys(Digit, Use.FULL))
DRAWS = 400
IP_FUSED = ranges.fixed(ranges.IP_FUSED, "fused")
MCP_FUSED = ranges.fixed(ranges.MCP_FUSED, "fused")
CMC_STIFF = (
    ranges.fixed(ranges.CMC_STIFF_FLEXION, "stiff"),
    ranges.fixed(ranges.CMC_STIFF_ABDUCTION, "stiff"),
)


def with_hinges(thumb: Thumb, **at: Hinge) -> Thumb:
    """Return a thumb with some hinges replaced: flexion, abduction, mcp, ip, rotation."""
    names = ("flexion", "abduction", "mcp", "ip", "rotation")
    flexion, abduction, mcp, ip, rotation = (
        at.get(name, hinge) for name, hinge in zip(names, thumb.hinges, strict=True)
    )
    return replace(thumb, hinges=(flexion, abduction, mcp, ip, rotation))


def no_doubt(draws: int = 1) -> Chance:
    return Chance(seed=0, normals=np.zeros((32, draws), dtype=np.float32))


@dataclass(frozen=True, slots=True, kw_only=True)
class Middle:
    """The hand in the middle of all draws, and a thumb on it."""

    hand: Hand
    ground: Ground
    limb: Ready


def middle(thumb: Thumb = ADULT) -> Middle:
    hand = drawn_hand(SPEC, no_doubt())
    floor = ground(hand)
    return Middle(hand=hand, ground=floor, limb=ready(drawn_thumb(thumb, hand, no_doubt()), floor))


@cache
def adult_standing() -> Standing:
    return stand(SPEC, ADULT, seed=7, draws=DRAWS)


def adult_reach(thumb: Thumb = ADULT) -> Reach:
    return reach_of(thumb, adult_standing(), "tried")
