"""How wide a hand opens between thumb and index."""

import numpy as np

from thumbwright.core.foundations.sources import Basis, Provenance, Statement
from thumbwright.core.reach import ranges
from thumbwright.core.reach.forward import finger_pose
from thumbwright.core.reach.rotations import Floats, angle_of, cosine, sine, tangent
from thumbwright.core.reach.skeleton import Chain, Digit, Finger, Hand, Use

CONSTRUCT = Statement(
    text=(
        "The widest grasp is drawn in the plane of thumb and finger: the largest cylinder that "
        "both pulps touch squarely, with both digits as straight as they go and the web at its "
        "widest; digits of unequal reach touch at the reach of the shorter one."
    ),
    basis=Basis(provenance=Provenance.ASSUMED),
)


_HALF_WAY_DEG = np.float32(45)


def widest_grasp_mm(chain: Chain, hand: Hand) -> Floats:
    """Return the diameter of the largest cylinder between thumb and fingers [mm].

    Notes
    -----
    ``D = 2 (s tan(w / 2) - d)`` with the web ``w``, the reach ``s`` from the CMC joint to the
    middle of the pulp, and the depth ``d`` of the pulp: the circle between two straight lines
    that meet at the CMC joint, which touches both at ``s``. A thumb that cannot be straightened
    reaches less far.
    """
    mcp = np.clip(0, chain.low_deg[2], chain.high_deg[2])
    last = mcp + np.clip(0, chain.low_deg[3], chain.high_deg[3])
    along = (
        chain.metacarpal_mm + chain.proximal_mm * cosine(mcp) + chain.pad_along_mm * cosine(last)
    )
    across = chain.proximal_mm * sine(mcp) + chain.pad_along_mm * sine(last)
    thumb = np.sqrt(along * along + across * across)
    # Bent joints turn the pulp inwards, so the web opens less between the pulps.
    opening = chain.web_deg - angle_of(across, along)
    reach = np.minimum(thumb, _finger_reach(hand))
    width = 2 * (reach * tangent(np.clip(opening, 0, 120) / 2) - chain.pad_depth_mm)
    return np.asarray(np.maximum(width, 0), dtype=np.float32)


def opening_mm(chain: Chain, hand: Hand, pip_deg: float) -> Floats:
    """Return the widest opening between the ends of thumb and index [mm].

    Parameters
    ----------
    chain, hand
        Thumb and hand.
    pip_deg
        Bend of the index PIP joint: 0, or the angle at which it is stiff; its last joint is
        straight. [deg]

    Notes
    -----
    The thumb lies straight at the widest angle of the web, half way between abduction in the plane
    of the palm and out of it (working assumption); the index stands straight at its knuckle.
    """
    index = finger_pose(hand.finger(Digit.INDEX), (0.0, pip_deg, 0.0), 0.0)
    from_cmc = index.tip_mm - hand.cmc_mm
    length = chain.metacarpal_mm + chain.proximal_mm + chain.distal_mm
    aside = length * sine(chain.web_deg) * sine(_HALF_WAY_DEG)
    thumb = np.stack([length * cosine(chain.web_deg), aside, aside], axis=1)
    return np.asarray(np.linalg.norm(from_cmc - thumb, axis=1), dtype=np.float32)


def _finger_reach(hand: Hand) -> Floats:
    """Return the reach of the first finger that is there, CMC joint to pulp [mm]."""
    there = [one for one in hand.fingers if one.use is not Use.GONE]
    return _reach(there[0], hand) if there else np.zeros_like(hand.size_mm)


def _reach(finger: Finger, hand: Hand) -> Floats:
    bends = (0.0, 0.0, 0.0)
    if finger.use is Use.STIFF:
        mcp, pip = ranges.STIFF_FINGER
        bends = (mcp.value, pip.value, 0.0)
    pose = finger_pose(finger, bends, 0.0)
    return np.asarray(np.linalg.norm(pose.pad_mm - hand.cmc_mm, axis=1), dtype=np.float32)
