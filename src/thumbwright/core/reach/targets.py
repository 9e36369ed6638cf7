"""Places on the hand that a thumb is asked to touch, over postures of the fingers."""

from dataclasses import dataclass, replace

import numpy as np

from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.reach import proportions as sizes
from thumbwright.core.reach import ranges
from thumbwright.core.reach.forward import FingerPose, axes_apart_mm, finger_pose
from thumbwright.core.reach.inverse import END_TILT_DEG, PULP_TILT_DEG
from thumbwright.core.reach.rotations import Floats, cosine, seen_from, sine
from thumbwright.core.reach.skeleton import Digit, Finger, Hand, Use

BENDS_DEG = (
    (45.0, 45.0),
    (65.0, 50.0),
    (30.0, 70.0),
    (55.0, 30.0),
    (75.0, 20.0),
    (50.0, 80.0),
    (30.0, 45.0),
    (80.0, 70.0),
)
"""MCP and PIP of a finger that comes to meet the thumb, the easiest first [deg]; all lie within
the normal range of finger joints."""
BESIDE_DEG = ((10.0, 10.0), (35.0, 35.0), (55.0, 55.0), (45.0, 80.0))
"""The same of the index while the thumb lies along its side."""
Bends = tuple[float, float, float]
"""MCP, PIP and DIP [deg]."""
BASE_CREASE = Published(value=0.4, unit="-", basis=Basis(provenance=Provenance.ASSUMED))
"""Where the crease at the base of a finger lies along its proximal phalanx."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """A place to be touched while a finger stands in one posture."""

    digit: Digit
    bends_deg: Bends
    """MCP, PIP and DIP of the finger."""
    cup_share: float
    at_mm: Floats
    """[3, draw] in the frame of the trapezium, from the flexion axis."""
    faces: Floats | None
    """Unit vector out of the skin that is met, alike; None where any side will do."""
    with_pad: bool
    """Whether the middle of the thumb's pulp is to come there; else its end."""

    def rows(self, draws: int, times: int) -> "Meeting":
        """Return the first draws, several times over."""
        at, faces = self.at_mm[:, :draws], self.faces
        faces = None if faces is None else faces[:, :draws]
        if times > 1:
            at = np.tile(at, times)
            faces = None if faces is None else np.tile(faces, times)
        return replace(self, at_mm=at, faces=faces)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """What the thumb stands on, one entry per draw."""

    apart_mm: Floats
    index_runs: Floats
    """[draw, 3] in the frame of the trapezium."""
    tolerance_mm: Floats

    def rows(self, draws: int, times: int) -> "Ground":
        """Return the first draws, several times over."""
        return Ground(
            apart_mm=np.tile(self.apart_mm[:draws], times),
            index_runs=np.tile(self.index_runs[:draws], (times, 1)),
            tolerance_mm=np.tile(self.tolerance_mm[:draws], times),
        )


def ground(hand: Hand) -> Ground:
    """Return what every question about a thumb of this hand needs."""
    splay = np.full(hand.draws, hand.finger(Digit.INDEX).splay_deg, dtype=np.float32)
    runs = np.stack([cosine(splay), np.zeros_like(splay), sine(splay)], axis=1)
    return Ground(
        apart_mm=axes_apart_mm(hand.size_mm),
        index_runs=seen_from(hand.base, runs),
        tolerance_mm=hand.tolerance_mm,
    )


def postures(finger: Finger, *, straight_end: bool = False) -> tuple[Bends, ...]:
    """Return the postures in which a finger can meet the thumb [deg].

    Parameters
    ----------
    finger
        The finger; one that is stiff has a single posture.
    straight_end
        Whether the last joint is pressed half straight, as in a pinch of pulps; else it bends
        two thirds as far as the joint before it.
    """
    if finger.use is Use.GONE:
        return ()
    mcp, pip = ranges.STIFF_FINGER
    near = BENDS_DEG if finger.use is not Use.STIFF else ((mcp.value, pip.value),)
    return tuple((mcp, pip, _dip(pip, straight_end=straight_end)) for mcp, pip in near)


def _dip(pip_deg: float, *, straight_end: bool = False) -> float:
    share = ranges.DIP_OVER_PIP.value / 2 if straight_end else ranges.DIP_OVER_PIP.value
    return share * pip_deg


def posed(finger: Finger, bends_deg: Bends) -> tuple[FingerPose, float]:
    """Place a finger and tell how far its metacarpal follows [-]: as the MCP joint does."""
    cup_share = bends_deg[0] / ranges.FINGER_MCP[1].value
    return finger_pose(finger, bends_deg, cup_share), cup_share


def tips(hand: Hand, digit: Digit) -> tuple[Meeting, ...]:
    """Return the end of a finger in each of its postures."""
    return tuple(
        _meeting(hand, digit, bends, pose.tip_mm, _faces(pose, END_TILT_DEG))
        for bends, pose in _poses(hand, digit)
    )


def pads(hand: Hand, digit: Digit) -> tuple[Meeting, ...]:
    """Return the pulp of a finger in each of its postures."""
    return tuple(
        _meeting(hand, digit, bends, pose.pad_mm, _faces(pose, PULP_TILT_DEG), with_pad=True)
        for bends, pose in _poses(hand, digit, straight_end=True)
    )


def key_places(hand: Hand, digit: Digit) -> tuple[Meeting, ...]:
    """Return the thumb's side of a finger's middle phalanx, for the key pinch."""
    finger = hand.finger(digit)
    found = []
    for bends, pose in _poses(hand, digit):
        middle = 0.5 * (pose.pip_mm + pose.dip_mm)
        at = middle + finger.half_width_mm[:, None] * pose.side_faces
        found.append(_meeting(hand, digit, bends, at, pose.side_faces, with_pad=True))
    return tuple(found)


def beside(hand: Hand, digit: Digit, phalanx: int) -> tuple[Meeting, ...]:
    """Return places along one phalanx at the thumb's side of a finger.

    Parameters
    ----------
    hand, digit
        The finger.
    phalanx
        0 proximal, 1 middle, 2 distal. [-]
    """
    finger = hand.finger(digit)
    near = tuple((mcp, pip, _dip(pip)) for mcp, pip in BESIDE_DEG)
    found = []
    for bends in near if finger.use is Use.FULL else postures(finger):
        pose, _ = posed(finger, bends)
        joints = (pose.mcp_mm, pose.pip_mm, pose.dip_mm, pose.tip_mm)
        for share in (0.5, 0.8):
            at = (1 - share) * joints[phalanx] + share * joints[phalanx + 1]
            at = at + finger.half_width_mm[:, None] * pose.side_faces
            found += [_meeting(hand, digit, bends, at, None, with_pad=pad) for pad in (True, False)]
    return tuple(found)


def creases(hand: Hand, digit: Digit, crease: int) -> tuple[Meeting, ...]:
    """Return a crease on the palmar side of a finger.

    Parameters
    ----------
    hand, digit
        The finger.
    crease
        0 at its base, 1 at the PIP joint, 2 at the DIP joint. [-]
    """
    finger = hand.finger(digit)
    found = []
    for bends, pose in _poses(hand, digit):
        joints = (pose.mcp_mm, pose.pip_mm, pose.dip_mm)
        at = joints[crease] + finger.pad_depth_mm[:, None] * pose.palm_faces[max(crease - 1, 0)]
        if crease == 0:
            at = at + BASE_CREASE.value * (pose.pip_mm - pose.mcp_mm)
        found.append(_meeting(hand, digit, bends, at, None))
    return tuple(found)


def palmar_crease(hand: Hand, digit: Digit) -> tuple[Meeting, ...]:
    """Return the distal palmar crease below a finger, the palm flat, half and wholly cupped."""
    finger = hand.finger(digit)
    scale = hand.size_mm / np.float32(sizes.METACARPAL_HAND_MM)
    found = []
    for share in (0.5, 1.0, 0.0):
        pose = finger_pose(finger, (0.0, 0.0, 0.0), share)
        at = pose.mcp_mm + np.float32(sizes.PALM_DEPTH.value) * scale[:, None] * pose.palm_faces[0]
        at[:, 0] -= np.float32(sizes.CREASE_BEFORE_KNUCKLE.value) * scale
        found.append(_meeting(hand, digit, (0.0, 0.0, 0.0), at, None, cup_share=share))
    return tuple(found)


def _poses(
    hand: Hand, digit: Digit, *, straight_end: bool = False
) -> list[tuple[Bends, FingerPose]]:
    finger = hand.finger(digit)
    bends = postures(finger, straight_end=straight_end)
    return [(one, posed(finger, one)[0]) for one in bends]


def _faces(pose: FingerPose, tilt_deg: float) -> Floats:
    """Return the direction out of a pulp, tilted towards the end of the finger."""
    run = pose.tip_mm - pose.dip_mm
    length = np.linalg.norm(run, axis=1, keepdims=True)
    run = np.where(length > 0, run / np.maximum(length, 1e-6), pose.pad_faces)
    tilt = np.float32(tilt_deg)
    both = cosine(tilt) * pose.pad_faces + sine(tilt) * run
    return np.asarray(both / np.linalg.norm(both, axis=1, keepdims=True), dtype=np.float32)


def _meeting(
    hand: Hand,
    digit: Digit,
    bends: Bends,
    at_mm: Floats,
    faces: Floats | None,
    *,
    with_pad: bool = False,
    cup_share: float | None = None,
) -> Meeting:
    cup = bends[0] / ranges.FINGER_MCP[1].value if cup_share is None else cup_share
    seen = None if faces is None else np.ascontiguousarray(seen_from(hand.base, faces).T)
    return Meeting(
        digit=digit,
        bends_deg=bends,
        cup_share=cup,
        at_mm=np.ascontiguousarray(seen_from(hand.base, at_mm - hand.cmc_mm).T),
        faces=seen,
        with_pad=with_pad,
    )
