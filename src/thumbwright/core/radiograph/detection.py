"""Propose the joints and bone ends of a ray along a line drawn roughly over it.

Proposals are starting points for a person's own placement, with the probability that each
lies within a millimetre of what a person would mean; nothing here is used unconfirmed.
"""

from dataclasses import dataclass, replace
from math import exp
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import LandmarkError
from thumbwright.core.radiograph.landmarks import Bone, Landmark, Point, Ray, RayName
from thumbwright.core.radiograph.profile import (
    Strip,
    followed,
    likeness_on_axis,
    straight_to_the_end,
    straightened,
)
from thumbwright.core.radiograph.profile_bones import Named, named
from thumbwright.core.radiograph.profile_gaps import Gap, Reading, reading

BEFORE_MM = 14.0
"""How far before the drawn line the first joint is looked for."""
BEYOND_MM = 18.0
"""How far beyond it the tip is looked for."""
HALF_WIDTHS_MM = {
    RayName.THUMB: (2.0, 3.0, 4.0, 5.5, 7.5),
    RayName.GREAT_TOE: (2.0, 3.0, 4.0, 5.5, 7.5, 10.0),
    RayName.SECOND_TOE: (2.0, 3.0, 4.0, 5.5),
}
"""Half widths of bones that are tried on the way; wider ones would take two toes for one."""
SUREST_PROB = 0.99
SURE_PROB = 0.8
"""From this confidence on a proposal is called sure [-]; checked on phantoms."""
LEAST_LIKENESS = 0.25
"""Likeness to a bone below which the line runs over none [share of the contrast]: 0.45 and more
along bones of phantoms, under 0.1 over air, soft parts and across bones."""
SURE_LIKENESS = 0.2
"""Likeness that four fifths of the line have where it can be trusted wholly; from phantoms."""
LEAST_FIT = -6.0
SURE_FIT = -0.5
"""Score per bone below which nothing is proposed, and below which trust falls [-]; on phantoms a
whole ray has -0.4 or more, half a ray mostly under -3."""
SHORT_PIECE_MM = 12.0
"""A last piece of bone in a stump shorter than this hardly shows its direction; from phantoms."""
SKIN_BEYOND_MM = 5.5
SKIN_SPREAD_MM = 4.0
"""Usual soft tissue beyond the bone and its spread, for the trust in the skin's end; assumed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedPoint:
    """One named point, proposed."""

    landmark: Landmark
    point: Point
    """(column, row)"""
    confidence_prob: float
    """Probability that it lies within a millimetre of where a person would place it. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProposedJoint:
    """One joint line, proposed."""

    name: str
    centre: Point
    """Middle of the gap on the axis."""
    confidence_prob: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RayProposal:
    """What is proposed for one ray, from the body to the tip."""

    ray: RayName
    points: tuple[ProposedPoint, ...]
    joints: tuple[ProposedJoint, ...]
    axis: tuple[Point, ...]
    """The bone's axis as it was followed, a point every 2 mm from first base to skin."""

    def point_of(self, landmark: Landmark) -> ProposedPoint:
        """Return the proposal for a named point.

        Raises
        ------
        LandmarkError
            If it was not proposed.
        """
        for proposed in self.points:
            if proposed.landmark is landmark:
                return proposed
        names = ", ".join(proposed.landmark.words for proposed in self.points)
        msg = (
            f"{landmark.words} was asked for; proposed were {names}; ask for one of these or "
            "place it by hand"
        )
        raise LandmarkError(msg)


def propose_along(
    values: NDArray[Any],
    start: Point,
    end: Point,
    ray: Ray,
    *,
    mm_per_px: float,
    present: tuple[Bone, ...] | None = None,
    via: tuple[Point, ...] = (),
    ends_in_stump: bool | None = None,
) -> RayProposal | Unknown:
    """Propose joints, bone ends and skin of a ray from a rough line over it.

    Parameters
    ----------
    values
        Grey values (rows, columns), larger is lighter.
    start, end
        Roughly the base of the first bone and the end of the last, each some millimetres off.
    ray
        Which ray it is.
    mm_per_px
        Millimetres per pixel in the plane of the bones; square pixels.
    present
        The bones that are there, from the body on; all of them if not given.
    via
        Points between start and end, for a crooked ray.
    ends_in_stump
        Whether the last bone present was cut or lost its further joint; if not given, whether
        bones of the ray are missing.

    Returns
    -------
    RayProposal | Unknown
        Unknown if no bone shows along the line, or fewer gaps between bones than the ray has
        joints.

    Raises
    ------
    LandmarkError
        If the bones present are not the first of the ray in their order.
    FilmError
        If the grid is no film, or the line is too short or leaves the film.
    """
    bones = _checked(ray, present)
    stump = len(bones) < len(ray.bones) if ends_in_stump is None else ends_in_stump
    rough = straightened(
        values, (start, *via, end), mm_per_px=mm_per_px, before_mm=BEFORE_MM, beyond_mm=BEYOND_MM
    )
    widths = HALF_WIDTHS_MM[ray.name]
    strip = followed(values, rough, widths)
    line_mm = float(rough.along_mm[-1]) - BEYOND_MM
    seen = likeness_on_axis(strip, widths, line_mm)
    if float(np.median(seen)) < LEAST_LIKENESS:
        return _unknown(ray, "no bone shows along the line")
    read = reading(strip, line_mm, widths)
    found = named(read, ray, len(bones), line_mm, stump=stump)
    if found is None:
        reason = (
            f"{len(read.gaps)} gaps between bones show along the line, and {len(bones)} bones have "
            f"{len(bones)} joints"
        )
        return _unknown(ray, reason)
    if found.fit < LEAST_FIT:
        return _unknown(ray, f"what shows along the line fits no ray of {len(bones)} bones")
    trust = float(np.clip(np.quantile(seen, 0.2) / SURE_LIKENESS, 0.0, 1.0))
    trust *= exp(min(0.0, found.fit - SURE_FIT))
    drawn = _Drawn(strip=strip, read=read, found=found, trust_prob=trust)
    return _proposal(drawn, ray, bones, stump=stump)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Drawn:
    """What was read along the line, and how far it is a bone's line at all."""

    strip: Strip
    read: Reading
    found: Named
    trust_prob: float

    def at(self, landmark: Landmark, along_mm: float, prob: float) -> ProposedPoint:
        """Return a proposal on the axis."""
        return ProposedPoint(
            landmark=landmark,
            point=self.strip.point(along_mm),
            confidence_prob=self.surely(prob),
        )

    def surely(self, prob: float) -> float:
        """Return the confidence in what is so likely if the line is right [-]."""
        return min(SUREST_PROB, prob * self.trust_prob)


def _unknown(ray: Ray, reason: str) -> Unknown:
    return Unknown(
        reason=f"{ray.name.value}: {reason}",
        needed=("the points placed by hand, or a line nearer to the axis of the bones",),
    )


def _proposal(drawn: _Drawn, ray: Ray, bones: tuple[Bone, ...], *, stump: bool) -> RayProposal:
    found = drawn.found
    last = (found.joints[-1].rise_mm, found.end.at_mm)
    drawn = replace(drawn, strip=straight_to_the_end(drawn.strip, last))
    joints = zip(ray.joints, found.joints, found.joint_probs, strict=False)
    return RayProposal(
        ray=ray.name,
        points=_points(drawn, bones, ray, stump=stump),
        joints=tuple(
            ProposedJoint(
                name=name,
                centre=drawn.strip.point(0.5 * (gap.fall_mm + gap.rise_mm)),
                confidence_prob=drawn.surely(prob),
            )
            for name, gap, prob in joints
        ),
        axis=_axis(drawn.strip, found.joints[0], drawn.read.skin_mm),
    )


def _checked(ray: Ray, present: tuple[Bone, ...] | None) -> tuple[Bone, ...]:
    bones = ray.bones if present is None else present
    if not bones or bones != ray.bones[: len(bones)]:
        names = ", ".join(bone.name for bone in ray.bones)
        msg = (
            f"the bones {', '.join(bone.name for bone in bones) or 'none'} were said to be present "
            f"in the {ray.name.value}; allowed are the first one or more of {names}, in this "
            "order; name them from the body on"
        )
        raise LandmarkError(msg)
    return bones


def _points(
    drawn: _Drawn, bones: tuple[Bone, ...], ray: Ray, *, stump: bool
) -> tuple[ProposedPoint, ...]:
    found, skin_mm = drawn.found, drawn.read.skin_mm
    points: list[ProposedPoint] = []
    for place, (bone, gap, prob) in enumerate(
        zip(bones, found.joints, found.joint_probs, strict=True)
    ):
        if place:
            points.append(drawn.at(bones[place - 1].head, gap.fall_mm, prob))
        points.append(drawn.at(bone.base, gap.rise_mm, prob))
    last = Landmark.STUMP_BONE_END if stump else bones[-1].head
    piece_mm = found.end.at_mm - found.joints[-1].rise_mm
    prob = found.end_prob * (min(1.0, piece_mm / SHORT_PIECE_MM) if stump else 1.0)
    points.append(drawn.at(last, found.end.at_mm, prob))
    if skin_mm < float(drawn.strip.along_mm[-1]):
        skin = Landmark.STUMP_SKIN_END if stump else ray.skin_tip
        beyond = skin_mm - found.end.at_mm
        usual = exp(-0.5 * ((beyond - SKIN_BEYOND_MM) / SKIN_SPREAD_MM) ** 2)
        points.append(drawn.at(skin, skin_mm, prob * usual))
    return tuple(points)


def _axis(strip: Strip, first: Gap, skin_mm: float) -> tuple[Point, ...]:
    length = max(2.0, skin_mm - first.rise_mm)
    count = max(2, round(length / 2.0) + 1)
    return tuple(strip.point(first.rise_mm + length * i / (count - 1)) for i in range(count))
