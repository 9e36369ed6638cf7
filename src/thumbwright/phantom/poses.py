"""How the bones of a ray stand one after the other, and where the ray ends if it was cut.

Frame of the body: ``X`` to the little finger or little toe, ``Y`` towards the tips, ``Z`` towards
the source, for a right hand or foot seen from the back (dorsum). A left one is its mirror image.
"""

from dataclasses import dataclass, field

import numpy as np

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.projection import Vector, leaning
from thumbwright.phantom.sizes import RaySize
from thumbwright.phantom.solids import Frame

LEAST_KEPT_MM = 3.0
"""Shorter slivers of a bone are not left behind by a cut."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RayPose:
    """How one ray lies."""

    base_mm: tuple[float, float]
    """Middle of the base of the first bone (X, Y) in the frame of the body."""
    direction_deg: float
    """Of the first bone, from +Y towards +X."""
    height_mm: float = 25.0
    """Over the detector, of the middle between the first and the last point of the bones."""
    turns_deg: tuple[float, ...] = ()
    """Of each bone in the plane of the film against the first; none means straight."""
    tilts_deg: tuple[float, ...] = ()
    """Of each bone against the detector, far end up; none means flat."""
    rolls_deg: tuple[float, ...] = ()
    """Of each bone about its own axis; none means none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Where a ray was lost."""

    kept_share: float
    """Share of the ray's length from first base to tip, along the bones, that is kept."""
    soft_beyond_mm: float = 5.0
    """Soft tissue beyond the end of the bone."""

    def __post_init__(self) -> None:
        """Refuse a loss that leaves nothing or takes nothing."""
        if not (0.02 <= self.kept_share < 1 and 1 <= self.soft_beyond_mm <= 30):
            msg = (
                f"a loss was given that keeps {self.kept_share} of the ray under "
                f"{self.soft_beyond_mm} mm of soft tissue; allowed are shares from 0.02 to under "
                "1 and 1 to 30 mm; choose another level"
            )
            raise FilmError(msg)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Link:
    """One bone in its place."""

    number: int
    """Counted from 0 at the body."""
    frame: Frame
    length_mm: float
    """Whole length of the bone."""
    cut_at_mm: float | None = None
    """Where it was cut, on its axis."""

    @property
    def base(self) -> Vector:
        """Return the middle of its base."""
        return self.frame.origin

    @property
    def end(self) -> Vector:
        """Return its far end on the axis: head, tip or stump."""
        return self.frame.place(
            0.0, 0.0, self.length_mm if self.cut_at_mm is None else self.cut_at_mm
        )

    @property
    def along(self) -> Vector:
        """Return the direction of its axis."""
        return np.asarray(self.frame.axes[2])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Chain:
    """The bones of a ray in their places."""

    links: tuple[Link, ...]
    beyond_mm: float
    """Soft tissue beyond the last bone's end."""
    lost: bool = field(default=False)

    @property
    def skin_end(self) -> Vector:
        """Return the farthest point of the soft parts, on the axis of the last bone."""
        last = self.links[-1]
        return np.asarray(last.end + self.beyond_mm * last.along)


def ray_length_mm(size: RaySize) -> float:
    """Return the length of a whole ray along its bones and gaps, base to bony tip [mm]."""
    return sum(bone.length_mm for bone in size.bones) + sum(size.gaps_mm)


def chain(size: RaySize, pose: RayPose, loss: Loss | None = None) -> Chain:
    """Set the bones of a ray one after the other.

    Raises
    ------
    FilmError
        If angles are given for another number of bones.
    """
    whole = _links(size, pose)
    kept = whole if loss is None else _kept(size, whole, loss)
    rise = pose.height_mm - float(kept[0].base[2] + kept[-1].end[2]) / 2
    lift = np.array([0.0, 0.0, rise])
    return Chain(
        links=tuple(
            Link(
                number=link.number,
                frame=Frame(origin=link.frame.origin + lift, axes=link.frame.axes),
                length_mm=link.length_mm,
                cut_at_mm=link.cut_at_mm,
            )
            for link in kept
        ),
        beyond_mm=size.beyond_tip_mm if loss is None else loss.soft_beyond_mm,
        lost=loss is not None,
    )


def _links(size: RaySize, pose: RayPose) -> list[Link]:
    count = len(size.bones)
    turns = _angles(pose.turns_deg, count)
    tilts = _angles(pose.tilts_deg, count)
    rolls = _angles(pose.rolls_deg, count)
    links: list[Link] = []
    place: Vector = np.array([*pose.base_mm, 0.0])
    for number, bone in enumerate(size.bones):
        axes = leaning(pose.direction_deg + turns[number], tilts[number], rolls[number])
        if links:
            mean = links[-1].along + axes[2]
            place = links[-1].end + size.gaps_mm[number - 1] * mean / np.linalg.norm(mean)
        links.append(
            Link(
                number=number,
                frame=Frame(origin=place, axes=axes),
                length_mm=bone.length_mm,
            )
        )
    return links


def _angles(given: tuple[float, ...], count: int) -> tuple[float, ...]:
    angles = given or (0.0,) * count
    if len(angles) != count:
        msg = (
            f"{len(angles)} angles were given for a ray of {count} bones; allowed are {count} or "
            "none; give one for each bone, the lost ones too"
        )
        raise FilmError(msg)
    return angles


def _kept(size: RaySize, whole: list[Link], loss: Loss) -> list[Link]:
    """Cut the ray; a cut in a joint, or one that leaves a sliver, leaves the bone before it."""
    left = loss.kept_share * ray_length_mm(size)
    kept: list[Link] = []
    for link, gap in zip(whole, (*size.gaps_mm, 0.0), strict=True):
        if left < LEAST_KEPT_MM:
            break
        cut = left if left < link.length_mm else None
        kept.append(
            Link(number=link.number, frame=link.frame, length_mm=link.length_mm, cut_at_mm=cut)
        )
        left -= link.length_mm + gap
        if cut is not None:
            break
    if not kept:
        msg = (
            f"a loss was given that keeps {loss.kept_share} of the ray, less than "
            f"{LEAST_KEPT_MM} mm of its first bone; allowed is more; choose a lower loss"
        )
        raise FilmError(msg)
    return kept
