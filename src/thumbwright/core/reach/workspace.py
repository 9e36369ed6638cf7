"""The middle hand in one posture, and the ground its thumb can cover, for drawing."""

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from thumbwright.core.reach import ranges
from thumbwright.core.reach.draws import Chance, drawn_hand, drawn_thumb
from thumbwright.core.reach.forward import finger_pose, thumb_pose
from thumbwright.core.reach.results import Pinch, Posture
from thumbwright.core.reach.rotations import Floats, angle_of_cosine, cosine, sine
from thumbwright.core.reach.skeleton import Chain, Digit, Hand, HandSpec, Thumb, Use, joined

Place = tuple[float, float, float]
"""To the fingertips, out of the palm, to the thumb's side [mm]."""
AT_REST_DEG = (20.0, 25.0, 17.0)
"""MCP, PIP and DIP of fingers that take no part."""
_STEPS = 7
_KINDS = 32


@dataclass(frozen=True, slots=True, kw_only=True)
class PosedHand:
    """A hand in one posture, the middle of all draws; places in the hand frame."""

    thumb: tuple[Place, ...]
    """CMC, MCP, IP joint and the end of the skin."""
    fingers: Mapping[Digit, tuple[Place, ...]]
    """Knuckle, PIP, DIP joint and the end of the skin."""
    wrist: Place


def middle_hand(hand: HandSpec, draws: int = 1) -> tuple[Hand, Chance]:
    """Return the hand with no doubt in it, several times over."""
    luck = Chance(seed=0, normals=np.zeros((_KINDS, draws), dtype=np.float32))
    return drawn_hand(hand, luck), luck


def posed_hand(thumb: Thumb, spec: HandSpec, pinch: Pinch, posture: Posture) -> PosedHand:
    """Place the middle hand in the posture of a pinch.

    Parameters
    ----------
    thumb, spec
        As stated.
    pinch
        Which finger is met.
    posture
        The middle posture of those draws that make the pinch. In the middle hand it need not
        close to the millimetre.
    """
    hand, luck = middle_hand(spec)
    angles = np.array(posture.thumb_deg, dtype=np.float32)[:, None]
    pose = thumb_pose(drawn_thumb(thumb, hand, luck), hand, angles)
    fingers = {}
    for finger in hand.fingers:
        if finger.use is Use.GONE:
            continue
        bends = posture.finger_deg if finger.digit is pinch.digit else AT_REST_DEG
        cup = bends[0] / ranges.FINGER_MCP[1].value
        at = finger_pose(finger, bends, cup)
        fingers[finger.digit] = tuple(
            _place(one) for one in (at.mcp_mm, at.pip_mm, at.dip_mm, at.tip_mm)
        )
    return PosedHand(
        thumb=tuple(_place(one) for one in (pose.cmc_mm, pose.mcp_mm, pose.ip_mm, pose.tip_mm)),
        fingers=fingers,
        wrist=(0.0, 0.0, 0.0),
    )


def tip_cloud(thumb: Thumb, spec: HandSpec) -> Floats:
    """Return where the end of the thumb of the middle hand can be [place, 3] [mm].

    Notes
    -----
    Every hinge in equal steps over its range, the rotation at its middle; places for which the
    web would be overstretched are left out.
    """
    hand, luck = middle_hand(spec)
    chain = drawn_thumb(thumb, hand, luck)
    grid = np.meshgrid(
        *(_steps(chain, at) for at in range(4)), (chain.low_deg[4] + chain.high_deg[4]) / 2
    )
    angles = np.stack([one.ravel() for one in grid]).astype(np.float32)
    count = angles.shape[1]
    many, _ = middle_hand(spec, count)
    pose = thumb_pose(joined([chain] * count), many, angles)
    splay = np.float32(many.finger(Digit.INDEX).splay_deg)
    index = np.array([float(cosine(splay)), 0.0, float(sine(splay))], dtype=np.float32)
    apart = angle_of_cosine(pose.metacarpal_runs @ index)
    return np.asarray(pose.tip_mm[apart <= chain.web_deg + 0.5])


def outline(points: Floats) -> tuple[tuple[float, float], ...]:
    """Return the convex outline of points in a plane [any unit], against the clock.

    Examples
    --------
    >>> square = np.array([[0, 0], [1, 0], [1, 1], [0, 1], [0.5, 0.5]], dtype=np.float32)
    >>> len(outline(square))
    4
    """
    ordered = sorted({(float(x), float(y)) for x, y in points})
    if len(ordered) < 3:
        return tuple(ordered)
    lower, upper = _chain(ordered), _chain(ordered[::-1])
    return (*lower[:-1], *upper[:-1])


def _chain(ordered: list[tuple[float, float]]) -> list[tuple[float, float]]:
    kept: list[tuple[float, float]] = []
    for point in ordered:
        while len(kept) > 1 and _turns_right(kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return kept


def _turns_right(
    one: tuple[float, float], two: tuple[float, float], three: tuple[float, float]
) -> bool:
    cross = (two[0] - one[0]) * (three[1] - one[1]) - (two[1] - one[1]) * (three[0] - one[0])
    return cross <= 0


def _steps(chain: Chain, at: int) -> Floats:
    low, high = float(chain.low_deg[at, 0]), float(chain.high_deg[at, 0])
    return np.linspace(low, high, _STEPS if high > low else 1, dtype=np.float32)


def _place(rows: Floats) -> Place:
    x, y, z = (float(one) for one in rows[0])
    return x, y, z
