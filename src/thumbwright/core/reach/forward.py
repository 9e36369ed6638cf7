"""From joint angles to places: thumb and fingers."""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.reach import ranges
from thumbwright.core.reach.rotations import Floats, cosine, sine, turn_about, turned
from thumbwright.core.reach.skeleton import Chain, Finger, Hand

SKEW_DEG = np.float32(90.0 - ranges.AXES_SKEW.value)
"""How far the two CMC axes are from square to each other [deg]."""
_APART_SHARE = np.float32(ranges.AXES_APART.value / 185.0)


def axes_apart_mm(hand_mm: Floats) -> Floats:
    """Return the distance between the two CMC axes, which grows with the hand [mm]."""
    return _APART_SHARE * hand_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class ThumbPose:
    """A thumb in one posture; [draw, 3] in the hand frame."""

    cmc_mm: Floats
    mcp_mm: Floats
    ip_mm: Floats
    tip_mm: Floats
    pad_mm: Floats
    pad_faces: Floats
    """Unit vector out of the pulp."""
    metacarpal_runs: Floats
    """Unit vector along the metacarpal."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FingerPose:
    """A finger in one posture; [draw, 3] in the hand frame."""

    mcp_mm: Floats
    pip_mm: Floats
    dip_mm: Floats
    tip_mm: Floats
    pad_mm: Floats
    pad_faces: Floats
    side_faces: Floats
    """Unit vector towards the thumb's side, square to the plane in which the finger bends."""
    palm_faces: Floats
    """[3, draw, 3]: out of the palmar side of each phalanx."""


def thumb_pose(chain: Chain, hand: Hand, angles_deg: Floats) -> ThumbPose:
    """Place a thumb.

    Parameters
    ----------
    chain, hand
        The thumb, and the hand that it stands on.
    angles_deg
        [5, draw]: CMC flexion, CMC abduction, MCP flexion, IP flexion, CMC rotation. [deg]

    Notes
    -----
    From the flexion axis, fixed to the trapezium, 4.6 mm along the thumb to the abduction axis,
    which is turned by 87 degrees against it about the line between them; then the metacarpal,
    turned about itself, MCP hinge, proximal phalanx, IP hinge, distal phalanx. The MCP and IP
    hinges are square to the metacarpal and parallel to each other.
    """
    flexion, abduction, mcp, ip, turn = angles_deg
    frame = hand.base @ turn_about(2, flexion)
    inner = frame @ turn_about(0, np.full_like(flexion, SKEW_DEG)) @ turn_about(1, -abduction)
    inner = inner @ turn_about(0, -turn)
    start = hand.cmc_mm + axes_apart_mm(hand.size_mm)[:, None] * frame[:, :, 0]
    bend, last = mcp, mcp + ip
    proximal = _in_plane(inner, cosine(bend), sine(bend))
    distal = _in_plane(inner, cosine(last), sine(last))
    faces = _in_plane(inner, -sine(last), cosine(last))
    at_mcp = start + chain.metacarpal_mm[:, None] * inner[:, :, 0]
    at_ip = at_mcp + chain.proximal_mm[:, None] * proximal
    return ThumbPose(
        cmc_mm=hand.cmc_mm,
        mcp_mm=at_mcp,
        ip_mm=at_ip,
        tip_mm=at_ip + chain.distal_mm[:, None] * distal,
        pad_mm=at_ip + chain.pad_along_mm[:, None] * distal + chain.pad_depth_mm[:, None] * faces,
        pad_faces=faces,
        metacarpal_runs=inner[:, :, 0],
    )


def _in_plane(frame: Floats, along: Floats, across: Floats) -> Floats:
    return np.asarray(along[:, None] * frame[:, :, 0] + across[:, None] * frame[:, :, 1])


def finger_pose(
    finger: Finger, bends_deg: tuple[float, float, float], cup_share: float
) -> FingerPose:
    """Place a finger.

    Parameters
    ----------
    finger
        The finger.
    bends_deg
        Flexion of its MCP, PIP and DIP joint. [deg]
    cup_share
        How much of the bend of its metacarpal is used. [-]
    """
    draws = finger.metacarpal_mm.shape[0]
    frame = turn_about(1, np.full(draws, -finger.splay_deg, dtype=np.float32))
    cup = cup_share * finger.cup_deg
    sunk = np.zeros((draws, 3), dtype=np.float32)
    sunk[:, 0] = finger.metacarpal_mm * (cosine(np.float32(cup)) - 1)
    sunk[:, 1] = finger.metacarpal_mm * sine(np.float32(cup))
    mcp_deg, pip_deg, dip_deg = bends_deg
    bends = np.cumsum([mcp_deg + cup, pip_deg, dip_deg])
    runs, palms = zip(*(_run_and_palm(frame, float(bend)) for bend in bends), strict=True)
    joints = [finger.mcp_mm + turned(frame, sunk)]
    for link, run in zip(finger.links_mm, runs, strict=True):
        joints.append(joints[-1] + link[:, None] * run)
    is_short = not finger.links_mm[2].any()
    last = 1 if is_short else 2
    pad = joints[last] + 0.5 * finger.links_mm[last][:, None] * runs[last]
    return FingerPose(
        mcp_mm=joints[0],
        pip_mm=joints[1],
        dip_mm=joints[2],
        tip_mm=joints[3],
        pad_mm=pad + finger.pad_depth_mm[:, None] * palms[last],
        pad_faces=palms[last],
        side_faces=frame[:, :, 2],
        palm_faces=np.stack(palms),
    )


def _run_and_palm(frame: Floats, bend_deg: float) -> tuple[Floats, Floats]:
    along, across = cosine(np.float32(bend_deg)), sine(np.float32(bend_deg))
    run = along * frame[:, :, 0] + across * frame[:, :, 1]
    palm = -across * frame[:, :, 0] + along * frame[:, :, 1]
    return np.asarray(run, dtype=np.float32), np.asarray(palm, dtype=np.float32)
