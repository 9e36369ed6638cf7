"""Whether a thumb touches any of several places, and in which posture it first does."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.reach.inverse import Aim, Answer, Arm, angles_deg, bent, solve, steady
from thumbwright.core.reach.rotations import Floats
from thumbwright.core.reach.skeleton import Chain
from thumbwright.core.reach.targets import Ground, Meeting

FACING_SHARE = 0.0
"""Two skins must look towards each other rather than the same way: cosine of a right angle [-];
working assumption."""
IP_TRIED_SHARES = (0.35, 1.0, 0.05, 0.65, 0.2, 0.5)
"""Bends of the IP joint that are tried, as shares of its range, the easiest first [-]."""
_HOPELESS = ((2, 3.0), (4, 1.5))
"""After so many bends of the IP joint everywhere, a draw that missed by so many touching distances
is not tried any further [-]."""
_FIRST_BENDS = 4
"""Bends that are tried where every place is asked on its own [-]."""
_AT_ONCE = 6000
"""Trials times draws that are solved in one step: what fits the fast memory of a core [-]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ready:
    """A thumb made ready for every trial: for its end, and for its pulp."""

    steady: Floats
    """[number, draw]"""
    bent: tuple[Floats, Floats]
    """[number, bend of the IP joint, draw], of the end and of the pulp."""
    held_deg: Floats
    """[2, bend of the IP joint, draw]: IP joint and rotation."""
    farthest_mm: tuple[Floats, Floats]
    """How far the end, and the pulp, can be from the flexion axis at most."""
    tolerance_mm: Floats

    @property
    def draws(self) -> int:
        """Return how many draws there are."""
        return int(self.tolerance_mm.shape[0])


@dataclass(frozen=True, slots=True, kw_only=True)
class Touch:
    """Which draws touch, and how; the arrays have one entry per draw."""

    reached: NDArray[np.bool_]
    meeting: NDArray[np.int16]
    """Number of the place that was touched first; -1 for none."""
    angles_deg: Floats
    """[5, draw]; 0 where nothing was touched."""

    @property
    def share(self) -> float:
        """Return the share of draws that touch [-]."""
        return float(self.reached.mean())


def ready(chain: Chain, ground: Ground) -> Ready:
    """Make a thumb ready for every bend of its IP joint; its rotation is held at the middle."""
    low, high = chain.low_deg, chain.high_deg
    bends = bool((high[3] - low[3] > 1).any()) and bool((chain.distal_mm > 1).any())
    shares = IP_TRIED_SHARES if bends else (0.0,)
    ip = np.stack([low[3] + np.float32(share) * (high[3] - low[3]) for share in shares])
    ends, pads = (
        np.stack([bent(chain, one, with_pad=with_pad) for one in ip], axis=1)
        for with_pad in (False, True)
    )
    base = ground.apart_mm + chain.metacarpal_mm
    return Ready(
        steady=steady(chain, ground.apart_mm, ground.index_runs),
        bent=(ends, pads),
        held_deg=np.stack([ip, np.broadcast_to((low[4] + high[4]) / 2, ip.shape)]),
        farthest_mm=(base + ends[0].max(axis=0), base + pads[0].max(axis=0)),
        tolerance_mm=ground.tolerance_mm,
    )


def touch(
    thumb: Ready, meetings: Sequence[Meeting], among: NDArray[np.bool_] | None = None
) -> Touch:
    """Find the first place, and the easiest posture, in which a thumb touches.

    Parameters
    ----------
    thumb
        The thumb.
    meetings
        Places, the easiest first; all of one kind or mixed.
    among
        Draws that are asked; all if not given.

    Notes
    -----
    Trials are taken in order, as many at once as pay; draws that have touched are left out of
    what follows, and so are those that came nowhere near with the first bends.
    """
    meeting = np.full(thumb.draws, -1, dtype=np.int16)
    angles = np.zeros((5, thumb.draws), dtype=np.float32)
    asked = np.ones(thumb.draws, dtype=np.bool_) if among is None else among
    left = np.flatnonzero(asked)
    for with_pad in (True, False):
        kind = [at for at, one in enumerate(meetings) if one.with_pad is with_pad]
        left = _search(thumb, meetings, kind, left, (meeting, angles))
    return Touch(reached=meeting >= 0, meeting=meeting, angles_deg=angles)


def _search(
    thumb: Ready,
    meetings: Sequence[Meeting],
    kind: Sequence[int],
    left: NDArray[np.intp],
    into: tuple[NDArray[np.int16], Floats],
) -> NDArray[np.intp]:
    """Search places of one kind, write what is found, and return the draws that are left."""
    kind, near = _not_too_far(thumb, meetings, kind, left)
    out_of_reach, left = np.setdiff1d(left, near, assume_unique=True), near
    trials = [(at, bend) for bend in range(thumb.held_deg.shape[1]) for at in kind]
    best = np.full(left.size, np.inf, dtype=np.float32)
    tried = 0
    while tried < len(trials) and left.size:
        now = trials[tried : tried + max(1, _AT_ONCE // left.size)]
        tried += len(now)
        part, aim = _posed(thumb, meetings, now, left)
        answer = solve(part, aim)
        missing = _missing(answer, aim, thumb.tolerance_mm[left])
        done = missing <= 1
        first = done.argmax(axis=0)
        is_hit = done[first, np.arange(left.size)]
        hit = np.flatnonzero(is_hit)
        if hit.size:
            into[0][left[hit]] = np.array([at for at, _ in now], dtype=np.int16)[first[hit]]
            into[1][:, left[hit]] = angles_deg(part, answer)[:, first[hit], hit]
        best = np.minimum(best, missing.min(axis=0))
        rest = ~is_hit & (best < _still_hopeful(tried / len(kind)))
        out_of_reach = np.concatenate([out_of_reach, left[~is_hit & ~rest]])
        left, best = left[rest], best[rest]
    return np.sort(np.concatenate([left, out_of_reach]))


def _still_hopeful(bends: float) -> float:
    """Return by how much a draw may have missed so far and still be tried [-]."""
    return min((most for after, most in _HOPELESS if bends >= after), default=np.inf)


def _not_too_far(
    thumb: Ready, meetings: Sequence[Meeting], kind: Sequence[int], left: NDArray[np.intp]
) -> tuple[list[int], NDArray[np.intp]]:
    """Leave out the places, and the draws, for which even a straight thumb is too short."""
    near = {}
    for at in kind:
        far = np.sqrt(np.einsum("in,in->n", meetings[at].at_mm, meetings[at].at_mm))
        most = thumb.farthest_mm[int(meetings[at].with_pad)] + thumb.tolerance_mm
        near[at] = (far <= most)[left]
    kept = [at for at in kind if near[at].any()]
    if not kept:
        return [], left[:0]
    return kept, left[np.any([near[at] for at in kept], axis=0)]


def touch_each(thumb: Ready, meetings: Sequence[Meeting]) -> NDArray[np.bool_]:
    """Tell for each place and draw whether the thumb touches it [meeting, draw]."""
    found = np.zeros((len(meetings), thumb.draws), dtype=np.bool_)
    everyone = np.arange(thumb.draws)
    bends = range(min(_FIRST_BENDS, thumb.held_deg.shape[1]))
    count = max(1, _AT_ONCE // (thumb.draws * len(bends)))
    for with_pad in (True, False):
        kind = [at for at, one in enumerate(meetings) if one.with_pad is with_pad]
        for start in range(0, len(kind), count):
            now = kind[start : start + count]
            part, aim = _posed(
                thumb, meetings, [(at, bend) for at in now for bend in bends], everyone
            )
            missing = _missing(solve(part, aim), aim, thumb.tolerance_mm)
            found[now] = (missing <= 1).reshape(len(now), len(bends), -1).any(axis=1)
    return found


def _posed(
    thumb: Ready,
    meetings: Sequence[Meeting],
    trials: Sequence[tuple[int, int]],
    left: NDArray[np.intp],
) -> tuple[Arm, Aim]:
    """Return thumb and places of some trials for some draws."""
    bends = np.array([bend for _, bend in trials])
    asked = [meetings[at] for at, _ in trials]
    of_kind = thumb.bent[int(asked[0].with_pad)]
    if left.size == thumb.draws:
        part = Arm(steady=thumb.steady, bent=of_kind[:, bends], held_deg=thumb.held_deg[:, bends])
        return part, _aim([(one.at_mm, one.faces) for one in asked])

    def of_left(numbers: Floats) -> Floats:
        return np.take(numbers, left, axis=-1)

    # One axis after the other: several times as fast as asking for trial and draw at once.
    part = Arm(
        steady=of_left(thumb.steady),
        bent=of_left(of_kind[:, bends]),
        held_deg=of_left(thumb.held_deg[:, bends]),
    )
    # A place is asked for with several bends in one go, but is looked up once.
    places = {
        at: (
            of_left(meetings[at].at_mm),
            None if (faces := meetings[at].faces) is None else of_left(faces),
        )
        for at in dict.fromkeys(at for at, _ in trials)
    }
    return part, _aim([places[at] for at, _ in trials])


def _aim(places: Sequence[tuple[Floats, Floats | None]]) -> Aim:
    faces = [one for _, one in places if one is not None]
    return Aim(
        at_mm=np.stack([at for at, _ in places], axis=1),
        faces=np.stack(faces, axis=1) if faces else None,
    )


def _missing(answer: Answer, aim: Aim, tolerance_mm: Floats) -> Floats:
    """Return by how many touching distances each trial misses [-]; 1 or less is a touch.

    Notes
    -----
    Overstretching the web is counted as a gap: the way the end of the thumb would have to give.
    A thumb that shows the wrong side misses by one touching distance more.
    """
    at = aim.at_mm
    far = np.sqrt(at[0] * at[0] + at[1] * at[1] + at[2] * at[2])
    gap = (answer.gap_mm + far * answer.strain_share) / tolerance_mm
    return np.asarray(gap + (answer.against_share < FACING_SHARE))
