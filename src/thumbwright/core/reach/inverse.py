"""From a place to the joint angles that bring a thumb there, or as near as it comes.

Angles are carried as their cosine and sine, so that no inverse function is called until a
posture is wanted in degrees; this makes the search several times as fast.
"""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.reach.forward import SKEW_DEG
from thumbwright.core.reach.rotations import Floats, angle_of, cosine, sine
from thumbwright.core.reach.skeleton import Chain

PULP_TILT_DEG = 30.0
"""Pulps meet in their outer half, where the skin faces so far towards the end of the digit [deg];
working assumption."""
END_TILT_DEG = 45.0
"""Ends meet where the skin faces half along the digit and half out of its pulp [deg]."""
_ROUNDS = 3
_SKEW_COS, _SKEW_SIN = cosine(SKEW_DEG), sine(SKEW_DEG)
_TINY = np.float32(1e-3)

Turn = tuple[Floats, Floats]
"""Cosine and sine of an angle."""
Triple = tuple[Floats, Floats, Floats]


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """Places to be reached, in the frame of the trapezium, from the flexion axis."""

    at_mm: Floats
    """[3, trial, draw]"""
    faces: Floats | None = None
    """Unit vector out of the skin that is met, alike; None where any side will do."""


_TURN, _WEB, _INDEX, _FLEXION, _ABDUCTION, _MCP = 2, 4, 6, 9, 16, 23
"""Where each part of a thumb begins in its table of numbers."""
_OUTER, _LEAD, _LAST = 0, 1, 3
"""Where each part begins of what hangs on the bend of the IP joint."""
_LOW, _HIGH, _MIDDLE, _HALF = 0, 2, 4, 6
"""Where each part of a range begins in its seven numbers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Arm:
    """A thumb ready to be solved for several trials at once.

    What does not hang on the trial is held once and broadcast.
    """

    steady: Floats
    """[number, draw]: distance of the CMC axes, metacarpal [mm]; then cosines and sines of the
    rotation and the web; the index; three ranges."""
    bent: Floats
    """[number, trial, draw]: straight from the MCP joint to the touching skin [mm]; then cosines
    and sines of its bearing and of the bend of the last joint with the tilt of the skin."""
    held_deg: Floats
    """[2, trial, draw]: IP joint and rotation."""

    def turn(self, start: int) -> Turn:
        """Return one steady angle as cosine and sine."""
        return self.steady[start], self.steady[start + 1]

    def bent_turn(self, start: int) -> Turn:
        """Return one angle that hangs on the trial as cosine and sine."""
        return self.bent[start], self.bent[start + 1]


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """How a thumb comes to each place, [trial, draw]."""

    flexion: Turn
    abduction: Turn
    mcp: Turn
    gap_mm: Floats
    """From the thumb to the place."""
    strain_share: Floats
    """Sine of the angle by which the first web would be overstretched; 0 where it is not. [-]"""
    against_share: Floats
    """1 where the two skins face each other squarely, -1 where they face the same way. [-]"""


def _range(low_deg: Floats, high_deg: Floats) -> list[Floats]:
    middle, half = (low_deg + high_deg) / 2, (high_deg - low_deg) / 2
    ends = [part(angle) for angle in (low_deg, high_deg, middle) for part in (cosine, sine)]
    return [*ends, cosine(half)]


def steady(chain: Chain, apart_mm: Floats, index_runs: Floats) -> Floats:
    """Return what does not hang on the bend of the IP joint [number, draw].

    Parameters
    ----------
    chain
        The thumb.
    apart_mm
        From the flexion axis to the abduction axis. [mm]
    index_runs
        Unit vector along the index, in the frame of the trapezium. [draw, 3]

    Notes
    -----
    The rotation of the metacarpal is held at the middle of its range.
    """
    low, high = chain.low_deg, chain.high_deg
    numbers = [apart_mm, chain.metacarpal_mm]
    middle = (low[4] + high[4]) / 2
    numbers += [part(angle) for angle in (middle, chain.web_deg) for part in (cosine, sine)]
    numbers += [*index_runs.T]
    for at in (0, 1, 2):
        numbers += _range(low[at], high[at])
    return np.stack(numbers)


def bent(chain: Chain, ip_deg: Floats, *, with_pad: bool) -> Floats:
    """Return what hangs on the bend of the IP joint [number, draw].

    Parameters
    ----------
    chain
        The thumb.
    ip_deg
        Bend of the IP joint. [deg]
    with_pad
        Whether the middle of the pulp touches; else the end of the thumb.
    """
    along = chain.pad_along_mm if with_pad else chain.distal_mm
    depth = chain.pad_depth_mm if with_pad else np.float32(0)
    cos_ip, sin_ip = cosine(ip_deg), sine(ip_deg)
    x = chain.proximal_mm + along * cos_ip - depth * sin_ip
    y = along * sin_ip + depth * cos_ip
    outer = np.maximum(np.sqrt(x * x + y * y), _TINY)
    out = ip_deg + np.float32(90 - (PULP_TILT_DEG if with_pad else END_TILT_DEG))
    return np.stack([outer, x / outer, y / outer, cosine(out), sine(out)])


def solve(thumb: Arm, aim: Aim) -> Answer:
    r"""Find the joint angles that bring a thumb to a place, or as near as it comes.

    Parameters
    ----------
    thumb
        The thumb, with IP joint and rotation held.
    aim
        The place.

    Notes
    -----
    With MCP and IP hinges parallel, the thumb beyond the abduction axis is a vector of that
    axis's frame, ``u = (x, y cos t, -y sin t)`` with the rotation ``t``. Abduction by ``q`` makes
    of it ``v``. With ``a`` between the axes and ``s`` the skew short of a right angle, a place
    ``T`` in the frame of the flexion axis obeys

    .. math:: |T|^2 = a^2 + 2 a v_x + x^2 + y^2, \qquad T_z = v_y \sin s + v_z \cos s .

    ``x^2 + y^2`` fixes the MCP angle by the law of cosines, the second equation fixes ``q``,
    and the bearing of ``T`` fixes the flexion. The small term in ``a`` is found by repetition,
    which gains a factor of about ten each time. Angles beyond their range are set to its end;
    the MCP angle is then set anew so that the thumb points as near as it can. Of the two bends
    of the MCP joint with which the law of cosines is met, the one towards the palm is taken.
    """
    at = (aim.at_mm[0], aim.at_mm[1], aim.at_mm[2])
    first, outer = thumb.steady[1], thumb.bent[_OUTER]
    lead, turn = thumb.bent_turn(_LEAD), thumb.turn(_TURN)
    mcp = _within(thumb, _MCP, _minus(_bend(thumb, at), lead))
    bend = _plus(mcp, lead)
    aside = outer * bend[1]
    beyond = (first + outer * bend[0], turn[0] * aside, -turn[1] * aside)
    abduction = _within(thumb, _ABDUCTION, _abduction(at, beyond))
    flexion = _within(thumb, _FLEXION, _flexion(thumb, at, beyond, abduction))
    place = _in_metacarpal(thumb, at, flexion, abduction)
    mcp = _within(thumb, _MCP, _minus(_pointing(thumb, place), lead))
    bend = _plus(mcp, lead)
    along = first + outer * bend[0] - place[0]
    across = outer * bend[1] - place[1]
    return Answer(
        flexion=flexion,
        abduction=abduction,
        mcp=mcp,
        gap_mm=np.sqrt(along * along + across * across + place[2] * place[2]),
        strain_share=_strain(thumb, flexion, abduction),
        against_share=_against(thumb, flexion, abduction, mcp, aim.faces),
    )


def angles_deg(thumb: Arm, answer: Answer) -> Floats:
    """Return the posture of an answer [5, trial, draw], in the order of the hinges [deg]."""
    near = [angle_of(turn[1], turn[0]) for turn in (answer.flexion, answer.abduction, answer.mcp)]
    return np.stack([*near, *thumb.held_deg])


def _minus(one: Turn, other: Turn) -> Turn:
    return one[0] * other[0] + one[1] * other[1], one[1] * other[0] - one[0] * other[1]


def _plus(one: Turn, other: Turn) -> Turn:
    return one[0] * other[0] - one[1] * other[1], one[1] * other[0] + one[0] * other[1]


def _within(thumb: Arm, joint: int, turn: Turn) -> Turn:
    """Set an angle that lies outside the range of its joint to the nearer end."""
    part = thumb.steady[joint : joint + 7]
    off = _minus(turn, (part[_MIDDLE], part[_MIDDLE + 1]))
    outside = off[0] < part[_HALF]
    if not outside.any():
        return turn
    high = off[1] > 0
    cos_end = np.where(high, part[_HIGH], part[_LOW])
    sin_end = np.where(high, part[_HIGH + 1], part[_LOW + 1])
    return np.where(outside, cos_end, turn[0]), np.where(outside, sin_end, turn[1])


def _bend(thumb: Arm, at: Triple) -> Turn:
    """Return the bend between metacarpal and outer line, by the law of cosines."""
    apart, first, reach = thumb.steady[0], thumb.steady[1], thumb.bent[_OUTER]
    turn = thumb.turn(_TURN)
    height = at[2] * at[2]
    flat = at[0] * at[0] + at[1] * at[1]
    far = flat + height - apart * apart - first * first - reach * reach
    shorter = 1 / np.maximum(2 * first * reach, _TINY)
    twice = 2 * apart
    ahead = np.sqrt(flat) * np.float32(0.85)
    for _ in range(_ROUNDS):
        cos_bend = np.minimum(np.maximum((far - twice * ahead) * shorter, -1), 1)
        x = first + reach * cos_bend
        y = reach * np.sqrt(1 - cos_bend * cos_bend)
        out = (at[2] - _SKEW_SIN * turn[0] * y) / _SKEW_COS
        side = turn[1] * y
        ahead = np.sqrt(np.maximum(x * x + side * side - out * out, 0))
    return cos_bend, y / reach


def _abduction(at: Triple, beyond: Triple) -> Turn:
    x, y, z = beyond
    over = 1 / np.maximum(np.sqrt(x * x + z * z), _TINY)
    rise = (at[2] - _SKEW_SIN * y) * over / _SKEW_COS
    rise = np.minimum(np.maximum(rise, -1), 1)
    return _minus((np.sqrt(1 - rise * rise), rise), (x * over, z * over))


def _flexion(thumb: Arm, at: Triple, beyond: Triple, abduction: Turn) -> Turn:
    x, y, z = _abducted(beyond, abduction)
    ahead, across = thumb.steady[0] + x, _SKEW_COS * y - _SKEW_SIN * z
    turn = _minus((at[0], at[1]), (ahead, across))
    over = 1 / np.maximum(np.sqrt(turn[0] * turn[0] + turn[1] * turn[1]), _TINY)
    return turn[0] * over, turn[1] * over


def _abducted(beyond: Triple, abduction: Turn) -> Triple:
    x, y, z = beyond
    return abduction[0] * x - abduction[1] * z, y, abduction[1] * x + abduction[0] * z


def _in_metacarpal(thumb: Arm, at: Triple, flexion: Turn, abduction: Turn) -> Triple:
    """Return a place in the frame of the turned metacarpal, from the abduction axis [mm]."""
    x = flexion[0] * at[0] + flexion[1] * at[1] - thumb.steady[0]
    y = flexion[0] * at[1] - flexion[1] * at[0]
    y, z = _SKEW_COS * y + _SKEW_SIN * at[2], _SKEW_COS * at[2] - _SKEW_SIN * y
    x, z = abduction[0] * x + abduction[1] * z, abduction[0] * z - abduction[1] * x
    turn = thumb.turn(_TURN)
    return x, turn[0] * y - turn[1] * z, turn[1] * y + turn[0] * z


def _pointing(thumb: Arm, place: Triple) -> Turn:
    """Return the bearing of a place from the MCP joint."""
    x, y = place[0] - thumb.steady[1], place[1]
    over = 1 / np.maximum(np.sqrt(x * x + y * y), _TINY)
    return x * over, y * over


def _out_of_trapezium(direction: Triple, flexion: Turn, abduction: Turn) -> Triple:
    """Return a direction of the abduction axis's frame in the frame of the trapezium."""
    x, y, z = _abducted(direction, abduction)
    y, z = _SKEW_COS * y - _SKEW_SIN * z, _SKEW_SIN * y + _SKEW_COS * z
    return flexion[0] * x - flexion[1] * y, flexion[1] * x + flexion[0] * y, z


def _against(thumb: Arm, flexion: Turn, abduction: Turn, mcp: Turn, faces: Floats | None) -> Floats:
    if faces is None:
        return np.ones_like(mcp[0])
    along, across = _plus(mcp, thumb.bent_turn(_LAST))
    turn = thumb.turn(_TURN)
    x, y, z = _out_of_trapezium((along, turn[0] * across, -turn[1] * across), flexion, abduction)
    return np.asarray(-(x * faces[0] + y * faces[1] + z * faces[2]))


def _strain(thumb: Arm, flexion: Turn, abduction: Turn) -> Floats:
    x = abduction[0]
    y, z = -_SKEW_SIN * abduction[1], _SKEW_COS * abduction[1]
    x, y = flexion[0] * x - flexion[1] * y, flexion[1] * x + flexion[0] * y
    runs = thumb.steady[_INDEX : _INDEX + 3]
    with_index = x * runs[0] + y * runs[1] + z * runs[2]
    aside = np.sqrt(np.maximum(1 - with_index * with_index, 0))
    web = thumb.turn(_WEB)
    return np.asarray(np.maximum(aside * web[0] - with_index * web[1], 0))
