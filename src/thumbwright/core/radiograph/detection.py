"""Propose the joints and bone ends of a ray along a line drawn roughly over it.

Proposals are starting points for a person's own placement, with the probability that each
lies within a millimetre of what a person would mean; nothing here is used unconfirmed.
"""

from dataclasses import dataclass
from math import exp
from typing import Any

from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import LandmarkError
from thumbwright.core.radiograph.landmarks import Bone, Landmark, Point, Ray, RayName
from thumbwright.core.radiograph.profile import (
    Strip,
    followed,
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
        Unknown if the line shows fewer gaps between bones than the ray has joints.

    Raises
    ------
    LandmarkError
        If the bones present are not the first of the ray in their order.
    FilmError
        If the grid is no film, or the line is too short or leaves the film.
    """
    bones = _checked(ray, present)
    stump = len(bones) < len(ray.bones) if ends_in_stump is None else ends_in_stump
    line = (start, *via, end)
    rough = straightened(
        values, line, mm_per_px=mm_per_px, before_mm=BEFORE_MM, beyond_mm=BEYOND_MM
    )
    widths = HALF_WIDTHS_MM[ray.name]
    strip = followed(values, rough, widths)
    line_mm = float(rough.along_mm[-1]) - BEYOND_MM
    read = reading(strip, line_mm, widths)
    found = named(read, ray, len(bones), line_mm, stump=stump)
    if found is None:
        return Unknown(
            reason=(
                f"along the line over the {ray.name.value} {len(read.gaps)} gaps between bones "
                f"show, and {len(bones)} bones have {len(bones)} joints"
            ),
            needed=("the points placed by hand, or a line nearer to the axis of the bones",),
        )
    strip = straight_to_the_end(strip, (found.joints[-1].rise_mm, found.end.at_mm))
    return RayProposal(
        ray=ray.name,
        points=_points(strip, read, found, bones, _skin_name(ray, stump=stump), stump=stump),
        joints=tuple(
            ProposedJoint(
                name=name,
                centre=strip.point(0.5 * (gap.fall_mm + gap.rise_mm)),
                confidence_prob=_surely(prob),
            )
            for name, gap, prob in zip(ray.joints, found.joints, found.joint_probs, strict=False)
        ),
        axis=_axis(strip, found.joints[0], read.skin_mm),
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


def _skin_name(ray: Ray, *, stump: bool) -> Landmark:
    return Landmark.STUMP_SKIN_END if stump else ray.skin_tip


def _points(  # noqa: PLR0913
    strip: Strip,
    read: Reading,
    found: Named,
    bones: tuple[Bone, ...],
    skin: Landmark,
    *,
    stump: bool,
) -> tuple[ProposedPoint, ...]:
    points: list[ProposedPoint] = []
    for place, (bone, gap, prob) in enumerate(
        zip(bones, found.joints, found.joint_probs, strict=True)
    ):
        if place:
            points.append(_point(strip, bones[place - 1].head, gap.fall_mm, prob))
        points.append(_point(strip, bone.base, gap.rise_mm, prob))
    last = Landmark.STUMP_BONE_END if stump else bones[-1].head
    points.append(_point(strip, last, found.end.at_mm, found.end_prob))
    if read.skin_mm < float(strip.along_mm[-1]):
        beyond = read.skin_mm - found.end.at_mm
        trust = exp(-0.5 * ((beyond - SKIN_BEYOND_MM) / SKIN_SPREAD_MM) ** 2)
        points.append(_point(strip, skin, read.skin_mm, found.end_prob * trust))
    return tuple(points)


def _point(strip: Strip, landmark: Landmark, at_mm: float, prob: float) -> ProposedPoint:
    return ProposedPoint(landmark=landmark, point=strip.point(at_mm), confidence_prob=_surely(prob))


def _surely(prob: float) -> float:
    return min(SUREST_PROB, prob)


def _axis(strip: Strip, first: Gap, skin_mm: float) -> tuple[Point, ...]:
    length = max(2.0, skin_mm - first.rise_mm)
    count = max(2, round(length / 2.0) + 1)
    return tuple(strip.point(first.rise_mm + length * i / (count - 1)) for i in range(count))
