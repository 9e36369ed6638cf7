"""Which gaps along a ray are joints, which are growth plates, and where the last bone ends.

Every way of naming the gaps gets a score from four things: how deep the gaps are, how long
the bones would be against one another, where growth plates may lie, and where the line was
drawn. All ways are added up, so that each joint comes with the share of the ways that put
it there.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import logsumexp

from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.edges import Line
from thumbwright.core.radiograph.landmarks import Ray, RayName
from thumbwright.core.radiograph.profile_gaps import End, Gap, Reading

_HAND = Basis(
    provenance=Provenance.RECALLED,
    locator="Buryanov and Kotiuk, Int J Morphol 28(3):755-758, 2010, adults, from memory",
)
_FIRST = Basis(
    provenance=Provenance.RECALLED,
    locator="Patil et al., J Clin Diagn Res 11(9), 2017, men, read in a note of its abstract",
)
_TOE = Basis(
    provenance=Provenance.RECALLED,
    locator="orders of magnitude of osteology texts, middles of ranges, from memory",
)
_GUESS = Basis(provenance=Provenance.ASSUMED, locator="no figure found")


def _lengths(*values: tuple[float, Basis]) -> tuple[Published, ...]:
    return tuple(Published(value=value, unit="mm", basis=basis) for value, basis in values)


USUAL_LENGTHS = {
    RayName.THUMB: _lengths((46.2, _HAND), (31.6, _HAND), (21.7, _HAND)),
    RayName.GREAT_TOE: _lengths((56.4, _FIRST), (28.0, _FIRST), (22.0, _GUESS)),
    RayName.SECOND_TOE: _lengths((72.0, _TOE), (25.0, _TOE), (12.0, _TOE), (10.0, _TOE)),
}
"""Lengths of an adult's bones; only their proportions are used, and weakly."""
PLATE_AT_HEAD = {RayName.SECOND_TOE: (0,)}
"""Bones whose growth plate lies at the head; all others of these rays have it at the base.

A fact of anatomy, common practice, no source."""
SCALES = np.exp(np.linspace(np.log(0.36), np.log(1.35), 28))
"""Sizes of a person over the usual adult that are tried. [-]"""
LENGTH_SPREAD = 0.20
"""Spread of the logarithm of a bone's length about its proportion; wide, so odd hands pass."""
START_SPREAD_MM = 6.0
"""How far off the first joint the line's start is drawn."""
END_SPREAD_MM = 9.0
EPIPHYSIS_MM = 3.4
"""Usual thickness of bone between joint and growth plate at adult size; assumed."""
EPIPHYSIS_SPREAD = 0.5
WIDEST_MM = 5.0
"""Joint gaps wider than this are unusual."""
SKIN_MM = 2.0
"""Least soft tissue beyond the end of a bone; a fall nearer to the skin is the skin's own."""
BEYOND_COST = 0.5
"""Cost per millimetre that is as light as bone beyond the end of the last bone."""
NEAR_START_MM = 6.0
"""Gaps passed over that near the line's start cost a part of what others cost."""
NEAR_START_SHARE = 0.4


@dataclass(frozen=True, slots=True, kw_only=True)
class Named:
    """One way of naming, the likeliest, with the share of all ways that agree."""

    joints: tuple[Gap, ...]
    """The gap at the base of each bone."""
    joint_probs: tuple[float, ...]
    """Share of all ways that put each joint within a millimetre of there. [-]"""
    end: End
    end_prob: float
    scale: float
    """Size of the person over the usual adult. [-]"""
    fit: float
    """Score of this way per bone: about 0 for a whole ray, far below for half of one. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Evidence:
    """Scores of single gaps and ends, whatever the size of the person."""

    gaps: tuple[Gap, ...]
    ends: tuple[End, ...]
    joint: Line
    plate: Line
    ignored: Line
    """Cost of leaving each gap unnamed."""
    end: Line


def named(
    of: Reading, ray: Ray, count: int, line_mm: float, *, stump: bool, temper: float = 1.0
) -> Named | None:
    """Name the gaps of a ray with the given number of bones; None if there are too few.

    Parameters
    ----------
    of
        What the axis shows.
    ray, count
        The ray, and how many of its bones are there, counted from the body.
    line_mm
        Length of the line that was drawn.
    stump
        Whether the last of these bones was cut.
    temper
        By how much all scores are divided before they are added up. [-]
    """
    evidence = _evidence(of, count)
    if len(evidence.gaps) < count or not evidence.ends:
        return None
    sums = [_Sums(evidence, ray, count, line_mm, scale, stump, temper) for scale in SCALES]
    total = logsumexp([one.total for one in sums])
    if not np.isfinite(total):
        return None
    best = max(sums, key=lambda one: one.best_score)
    places = best.best_path
    joint_share = np.stack([np.exp(one.joint_logs - total) for one in sums]).sum(axis=0)
    end_share = np.stack([np.exp(one.end_logs - total) for one in sums]).sum(axis=0)
    return Named(
        joints=tuple(evidence.gaps[place] for place in places[:-1]),
        joint_probs=tuple(
            _near([gap.bottom_mm for gap in evidence.gaps], joint_share[i], place)
            for i, place in enumerate(places[:-1])
        ),
        end=evidence.ends[places[-1]],
        end_prob=_near([end.at_mm for end in evidence.ends], end_share, places[-1]),
        scale=float(best.scale),
        fit=best.best_score / count,
    )


def _near(at_mm: Sequence[float], shares: Line, place: int) -> float:
    """Return the share of the ways that agree within a millimetre."""
    close = np.abs(np.asarray(at_mm) - at_mm[place]) < 1.0
    return float(min(1.0, shares[close].sum()))


def _evidence(of: Reading, count: int) -> _Evidence:
    depths = np.array([gap.depth for gap in of.gaps])
    widths = np.array([gap.width_mm for gap in of.gaps])
    falls = np.array([end.fall for end in of.ends])
    usual = np.sort(depths)[-min(count, depths.size) :].min() if depths.size else 1.0
    deep = depths / max(float(usual), 0.15)
    wide = np.clip((widths - WIDEST_MM) / 1.5, 0.0, None)
    steep = falls / max(float(np.median(np.sort(falls)[-count:])), 0.2) if falls.size else falls
    ignored = 5.0 * np.clip(deep - 0.25, 0.0, 1.0)
    at = np.array([end.at_mm for end in of.ends])
    near_skin = at > of.skin_mm - SKIN_MM
    beyond = np.array([end.bone_after_mm for end in of.ends])
    return _Evidence(
        gaps=of.gaps,
        ends=of.ends,
        joint=np.clip(3.0 * (deep - 0.6), -4.0, 1.5) - wide**2,
        plate=np.clip(2.0 * (deep - 0.4), -2.0, 1.0) - 0.7,
        ignored=ignored,
        end=np.clip(3.0 * (steep - 0.5), -4.0, 1.5) - 6.0 * near_skin - BEYOND_COST * beyond,
    )


class _Sums:
    """Sums over all ways of naming for one size of the person.

    A forward pass adds up the ways that lead to each gap as each joint, a backward pass
    those that lead on to the end; their product is the weight of every way through it.
    """

    def __init__(
        self,
        evidence: _Evidence,
        ray: Ray,
        count: int,
        line_mm: float,
        scale: float,
        stump: bool,
        temper: float,
    ) -> None:
        self.scale = scale
        lengths = [one.value * scale for one in USUAL_LENGTHS[ray.name][:count]]
        heads = PLATE_AT_HEAD.get(ray.name, ())
        steps = [
            _steps(evidence, length, scale, at_head=bone in heads)
            for bone, length in enumerate(lengths[:-1])
        ]
        last = _last(evidence, lengths[-1], scale, line_mm, stump=stump)
        steps = [step / temper for step in steps]
        last = last / temper
        start = _start(evidence) / temper
        self._pass(start, steps, last)

    def _pass(self, start: Line, steps: list[Line], last: Line) -> None:
        forward, top, came = [start], [start], []
        for step in steps:
            forward.append(logsumexp(forward[-1][:, None] + step, axis=0))
            ways = top[-1][:, None] + step
            came.append(np.argmax(ways, axis=0))
            top.append(ways.max(axis=0))
        ends = forward[-1][:, None] + last
        backward = [logsumexp(last, axis=1)]
        for step in reversed(steps):
            backward.append(logsumexp(step + backward[-1][None, :], axis=1))
        backward.reverse()
        self.total = float(logsumexp(ends))
        self.joint_logs = np.stack([f + b for f, b in zip(forward, backward, strict=True)])
        self.end_logs = np.asarray(logsumexp(ends, axis=0))
        final = top[-1][:, None] + last
        gap, end = np.unravel_index(int(np.argmax(final)), final.shape)
        self.best_score = float(final[gap, end])
        path = [int(gap)]
        for back in reversed(came):
            path.append(int(back[path[-1]]))
        self.best_path = (*reversed(path), int(end))


def _start(evidence: _Evidence) -> Line:
    at = np.array([gap.rise_mm for gap in evidence.gaps])
    bottom = np.array([gap.bottom_mm for gap in evidence.gaps])
    passed = (bottom[None, :] < bottom[:, None]) & (bottom[None, :] > -NEAR_START_MM)
    cost = NEAR_START_SHARE * (passed * evidence.ignored).sum(axis=1)
    return np.asarray(evidence.joint - cost - 0.5 * (at / START_SPREAD_MM) ** 2)


def _steps(evidence: _Evidence, length: float, scale: float, *, at_head: bool) -> Line:
    """Return the score of going from each gap as one joint to each gap as the next."""
    rise = np.array([gap.rise_mm for gap in evidence.gaps])
    fall = np.array([gap.fall_mm for gap in evidence.gaps])
    bone = fall[None, :] - rise[:, None]
    fits = _fits(bone, length)
    between = _between(evidence, rise, fall, scale, at_head=at_head)
    return np.asarray(fits + between + evidence.joint[None, :])


def _fits(bone: Line, length: float) -> Line:
    ratio = np.log(np.maximum(bone, 0.1) / length)
    return np.where(bone > 1.5, -0.5 * (ratio / LENGTH_SPREAD) ** 2, -np.inf)


def _between(
    evidence: _Evidence, starts: Line, stops: Line, scale: float, *, at_head: bool
) -> Line:
    """Return the score of the gaps inside each bone: at most one plate, the rest ignored."""
    bottom = np.array([gap.bottom_mm for gap in evidence.gaps])
    dips = bottom[None, None, :]
    inside = (dips > starts[:, None, None]) & (dips < stops[None, :, None])
    costs = inside * evidence.ignored
    away = stops[None, :, None] - dips if at_head else dips - starts[:, None, None]
    place = np.log(np.maximum(away, 0.1) / (EPIPHYSIS_MM * scale)) / EPIPHYSIS_SPREAD
    gain = evidence.plate + evidence.ignored - 0.5 * place**2
    gain = np.where(inside, gain, -np.inf)
    return np.asarray(gain.max(axis=2, initial=0.0) - costs.sum(axis=2))


def _last(evidence: _Evidence, length: float, scale: float, line_mm: float, *, stump: bool) -> Line:
    """Return the score of going from each gap as last joint to each end."""
    rise = np.array([gap.rise_mm for gap in evidence.gaps])
    at = np.array([end.at_mm for end in evidence.ends])
    bone = at[None, :] - rise[:, None]
    if stump:
        over = np.log(np.maximum(bone, 0.1) / length).clip(0.0, None) / LENGTH_SPREAD
        fits = np.where(bone > 1.5, -0.5 * over**2, -np.inf)
    else:
        fits = _fits(bone, length)
    between = _between(evidence, rise, at, scale, at_head=False)
    bottom = np.array([gap.bottom_mm for gap in evidence.gaps])
    after = -((bottom[None, :] > at[:, None] + 0.5) * evidence.ignored).sum(axis=1)
    drawn = -0.5 * ((at - line_mm) / END_SPREAD_MM) ** 2
    return np.asarray(fits + between + (evidence.end + after + drawn)[None, :])
