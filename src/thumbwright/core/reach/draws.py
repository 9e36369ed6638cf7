"""From stated thumbs and hands to arrays over draws, all from one set of random numbers."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.reach import proportions as sizes
from thumbwright.core.reach import ranges
from thumbwright.core.reach.rotations import Floats, base_frame
from thumbwright.core.reach.skeleton import Chain, Digit, Finger, Hand, HandSpec, Thumb, Use

_KINDS = 32
_LOW, _HIGH = (1, 2, 3, 4, 30), (5, 6, 7, 8, 31)
"""Which random numbers move the two ends of each range."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Chance:
    """Standard normal numbers, drawn once and used for every thumb of one hand.

    Thumbs that are compared share them, so that a difference between two techniques is one of
    the techniques and not of the draws.
    """

    seed: int
    normals: Floats
    """[kind, draw]"""

    @property
    def draws(self) -> int:
        """Return how many draws there are."""
        return int(self.normals.shape[1])

    def rows(self, chosen: NDArray[np.intp]) -> "Chance":
        """Return some of the draws."""
        return Chance(seed=self.seed, normals=np.ascontiguousarray(self.normals[:, chosen]))

    def first(self, draws: int) -> "Chance":
        """Return the first draws alone."""
        return self.rows(np.arange(draws))


def chance(seed: int, draws: int) -> Chance:
    """Draw the random numbers of one hand.

    Parameters
    ----------
    seed, draws
        Kept with every result. [-]
    """
    rng = np.random.Generator(np.random.PCG64(seed))
    normals = np.clip(rng.standard_normal((_KINDS, draws), dtype=np.float32), -3, 3)
    normals.flags.writeable = False
    return Chance(seed=seed, normals=normals)


def drawn_thumb(thumb: Thumb, hand: Hand, chance: Chance) -> Chain:
    """Return a thumb in numbers.

    Parameters
    ----------
    thumb
        As stated.
    hand
        The hand it belongs to; its size sets the thickness of the pulp.
    chance
        Random numbers.

    Notes
    -----
    The doubt of the length is shared out among the bones by their length. The two ends of a
    range are drawn apart; where they would cross, the joint does not move.
    """
    z = chance.normals
    stretch = 1 + z[0] * np.float32(thumb.length_doubt_mm / thumb.length_mm)
    stretch = np.clip(stretch, 0.1, None)
    depth = np.float32(sizes.THUMB_PAD_DEPTH.value / sizes.METACARPAL_HAND_MM) * hand.size_mm
    distal = thumb.distal_mm * stretch
    low = np.stack(
        [h.low_deg + h.low_doubt_deg * z[at] for at, h in zip(_LOW, thumb.hinges, strict=True)]
    )
    high = np.stack(
        [h.high_deg + h.high_doubt_deg * z[at] for at, h in zip(_HIGH, thumb.hinges, strict=True)]
    )
    return Chain(
        metacarpal_mm=_single(thumb.metacarpal_mm * stretch),
        proximal_mm=_single(thumb.proximal_mm * stretch),
        distal_mm=_single(distal + thumb.skin_beyond_bone_mm),
        pad_along_mm=_single(0.65 * distal),
        pad_depth_mm=_single(depth),
        low_deg=_single(low),
        high_deg=_single(np.maximum(low, high)),
        web_deg=_single(np.clip(thumb.web_deg + thumb.web_doubt_deg * z[9], 5, None)),
    )


def drawn_hand(spec: HandSpec, chance: Chance) -> Hand:
    """Return a hand in numbers.

    Notes
    -----
    The places of all joints grow with the hand; each place and each finger has a doubt of its
    own beside it.
    """
    z = chance.normals
    size = _single(np.clip(spec.size.length_mm + spec.size.length_doubt_mm * z[10], 40, None))
    scatter = np.float32(ranges.AXIS_SCATTER.value)
    base = base_frame(
        ranges.TRAPEZIUM_FLEXION.value + scatter * z[11],
        ranges.TRAPEZIUM_ABDUCTION.value + scatter * z[12],
        ranges.TRAPEZIUM_PRONATION.value + scatter * z[13],
    )
    breadth = _breadth(size, z[14])
    along, aside = (share.value for share in sizes.CMC_PLACE)
    scale = size / np.float32(sizes.METACARPAL_HAND_MM)
    cmc = np.stack([along * size, sizes.CMC_DEPTH.value * scale, aside * breadth], axis=1)
    return Hand(
        size_mm=size,
        cmc_mm=_single(cmc),
        base=_single(base),
        fingers=tuple(
            _finger(digit, spec.uses[digit], size, breadth, z[15 + at])
            for at, digit in enumerate(Digit)
        ),
        tolerance_mm=_single(sizes.TOUCHING.value * scale),
    )


def _breadth(size: Floats, z: Floats) -> Floats:
    sideways = np.clip(1 + sizes.SIDEWAYS_DOUBT.value * z, 0.3, None)
    return _single(sizes.BREADTH_OVER_LENGTH.value * size * sideways)


def _finger(digit: Digit, use: Use, size: Floats, breadth: Floats, z: Floats) -> Finger:
    own = np.clip(1 + sizes.SHARE_DOUBT.value * z, 0.3, None)
    along, aside = (share.value for share in sizes.KNUCKLE_PLACES[digit])
    mcp = np.stack([along * size, np.zeros_like(size), aside * breadth], axis=1)
    links = np.stack([share.value * size * own for share in sizes.FINGER_SHARES[digit]])
    if use is Use.SHORT:
        links[2] = 0
    scale = size / np.float32(sizes.METACARPAL_HAND_MM)
    metacarpal = sizes.FINGER_METACARPALS.get(digit)
    bend = ranges.METACARPAL_BEND.get(digit)
    return Finger(
        digit=digit,
        use=use,
        mcp_mm=_single(mcp),
        links_mm=_single(links),
        metacarpal_mm=_single((metacarpal.value if metacarpal else 0.0) * scale),
        splay_deg=SPLAYS_DEG[digit],
        cup_deg=bend.value if bend else 0.0,
        pad_depth_mm=_single(sizes.FINGER_PAD_DEPTH.value * scale),
        half_width_mm=_single(sizes.FINGER_HALF_WIDTH.value * scale),
    )


def _splays() -> Mapping[Digit, float]:
    to_next = {
        pair: ranges.SHARE_OF_SPREAD.value * spread.value
        for pair, spread in ranges.FINGER_SPREADS.items()
    }
    ring = -to_next[Digit.MIDDLE, Digit.RING]
    return {
        Digit.INDEX: to_next[Digit.INDEX, Digit.MIDDLE],
        Digit.MIDDLE: 0.0,
        Digit.RING: ring,
        Digit.LITTLE: ring - to_next[Digit.RING, Digit.LITTLE],
    }


SPLAYS_DEG = _splays()
"""Turn of the plane in which each finger bends, towards the thumb's side positive [deg]."""


def _single(values: object) -> Floats:
    array = np.ascontiguousarray(values, dtype=np.float32)
    array.flags.writeable = False
    return array
