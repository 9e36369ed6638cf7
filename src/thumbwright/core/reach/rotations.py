"""Angles in degrees in, arrays out: the only place where radians are used.

The hand frame is that of the third metacarpal, read on a right hand: x points to the
fingertips, y out of the palm, z to the thumb's side. It is right-handed for a right hand; a left
hand is computed as its mirror image and told apart only when it is drawn. A finger bends by
turning about +z, which carries x towards y.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.floating[Any]]
"""Kept in single precision: 1 in 10 million, a thousandth of a millimetre within a hand."""
_PER_DEG = np.float32(np.pi / 180)


def sine(angle_deg: Floats | np.float32) -> Floats:
    """Return the sine of angles in degrees [-]."""
    return np.asarray(np.sin(angle_deg * _PER_DEG))


def cosine(angle_deg: Floats | np.float32) -> Floats:
    """Return the cosine of angles in degrees [-]."""
    return np.asarray(np.cos(angle_deg * _PER_DEG))


def tangent(angle_deg: Floats | np.float32) -> Floats:
    """Return the tangent of angles in degrees [-]."""
    return np.asarray(np.tan(angle_deg * _PER_DEG))


def angle_of(across: Floats, along: Floats) -> Floats:
    """Return the angle of a direction from its two parts [deg], -180 to 180."""
    return np.asarray(np.arctan2(across, along) / _PER_DEG)


def angle_of_cosine(share: Floats) -> Floats:
    """Return the angle of a cosine that is held within -1 and 1 [deg]."""
    return np.asarray(np.arccos(np.clip(share, -1, 1)) / _PER_DEG)


def turn_about(axis: int, angle_deg: Floats) -> Floats:
    """Return matrices that turn about a coordinate axis, right-handed [draw, 3, 3].

    Parameters
    ----------
    axis
        0, 1 or 2 for x, y or z. [-]
    angle_deg
        One angle per draw. [deg]
    """
    given = np.atleast_1d(np.asarray(angle_deg, dtype=np.float32))
    one, other = (axis + 1) % 3, (axis + 2) % 3
    turn = np.zeros((*given.shape, 3, 3), dtype=np.float32)
    turn[..., axis, axis] = 1
    turn[..., one, one] = turn[..., other, other] = cosine(given)
    turn[..., other, one] = sine(given)
    turn[..., one, other] = -turn[..., other, one]
    return turn


def base_frame(flexion_deg: Floats, abduction_deg: Floats, pronation_deg: Floats) -> Floats:
    """Return the frame of the trapezium in the hand frame [draw, 3, 3], axes in columns.

    Notes
    -----
    Flexion about +z, then abduction about the new -y, then pronation about the new -x: the pad of
    a right thumb turns from the palm's side towards the little finger. The order follows the order
    in which the angles are printed; the source's own figure of the axes was not seen.
    """
    return np.asarray(
        turn_about(2, flexion_deg) @ turn_about(1, -abduction_deg) @ turn_about(0, -pronation_deg),
        dtype=np.float32,
    )


def seen_from(frames: Floats, vectors: Floats) -> Floats:
    """Return vectors of the hand frame in the frames given [draw, 3]."""
    return np.asarray(np.einsum("nji,nj->ni", frames, vectors), dtype=np.float32)


def turned(frames: Floats, vectors: Floats) -> Floats:
    """Return vectors given in the frames, in the hand frame [draw, 3]."""
    return np.asarray(np.einsum("nij,nj->ni", frames, vectors), dtype=np.float32)
