"""The soft parts around the bones of a ray: tapering sleeves, round joints, a round tip.

Each member is convex. Members overlap; their union is taken ray by ray, so nothing counts
twice. The farthest point of a tip lies on the axis of the last bone.
"""

from dataclasses import dataclass

from thumbwright.phantom.poses import Chain, Link
from thumbwright.phantom.sizes import RaySize
from thumbwright.phantom.solids import Between, Frame, Shape, convex, ellipsoid, round_box, shaft

TIP_SHARE = 0.95
"""Length of the rounded tip over the half width there."""
STUMP_SHARE = 0.80
"""The same for a stump."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Member:
    """One convex piece of soft tissue."""

    shape: Shape
    frame: Frame


def ray_members(size: RaySize, chain: Chain) -> list[Member]:
    """Return the soft parts of one ray."""
    members: list[Member] = []
    for link in chain.links[:-1]:
        members += [_joint(size, link), _sleeve(size, link, link.length_mm)]
    return [*members, *_tip(size, chain)]


def pad(frame: Frame, *, half_length_mm: float, half_width_mm: float, flatness: float) -> Member:
    """Return a flat ellipsoid about the origin of a frame."""
    body = ellipsoid(
        middle_mm=0.0,
        half_length_mm=half_length_mm,
        half_width_mm=half_width_mm,
        flatness=flatness,
    )
    box = round_box(half_width_mm, flatness, (-half_length_mm, half_length_mm))
    return Member(shape=convex(body, box=box), frame=frame)


def trunk(
    frame: Frame, *, length_mm: float, half_widths_mm: tuple[float, float], flatness: float
) -> Member:
    """Return a tapering trunk from the origin of a frame onwards."""
    return Member(shape=_taper((0.0, length_mm), half_widths_mm, flatness), frame=frame)


def half_width_at(size: RaySize, link: Link, place_mm: float) -> float:
    """Return half the width of the soft parts at a place on a bone's axis [mm]."""
    start, stop = size.soft_widths_mm[link.number : link.number + 2]
    share = min(1.0, max(0.0, place_mm / link.length_mm))
    return (start + share * (stop - start)) / 2


def _joint(size: RaySize, link: Link) -> Member:
    half = size.soft_widths_mm[link.number] / 2
    return pad(
        link.frame,
        half_length_mm=0.85 * half,
        half_width_mm=half,
        flatness=size.soft_flatness,
    )


def _sleeve(size: RaySize, link: Link, stop_mm: float) -> Member:
    start, stop = half_width_at(size, link, 0.0), half_width_at(size, link, stop_mm)
    # A little narrower than the round joints, so that its flat ends do not show.
    halves = (0.98 * start, 0.98 * stop)
    return Member(shape=_taper((0.0, stop_mm), halves, size.soft_flatness), frame=link.frame)


def _taper(along_mm: tuple[float, float], halves_mm: tuple[float, float], flat: float) -> Shape:
    middle = 0.98 * sum(halves_mm) / 2
    places = (along_mm[0], sum(along_mm) / 2, along_mm[1])
    body = shaft(places_mm=places, radii_mm=(halves_mm[0], middle, halves_mm[1]), flatness=flat)
    box = round_box(max(halves_mm), flat, along_mm)
    return convex(body, Between(low_mm=along_mm[0], high_mm=along_mm[1]), box=box)


def _tip(size: RaySize, chain: Chain) -> list[Member]:
    """Return joint, sleeve and rounded end of the last bone."""
    link = chain.links[-1]
    end = link.length_mm if link.cut_at_mm is None else link.cut_at_mm
    skin = end + chain.beyond_mm
    length = (STUMP_SHARE if chain.lost else TIP_SHARE) * half_width_at(size, link, end)
    middle = skin - length
    half = half_width_at(size, link, middle)
    cap = Member(
        shape=convex(
            ellipsoid(
                middle_mm=middle,
                half_length_mm=length,
                half_width_mm=half,
                flatness=size.soft_flatness,
            ),
            box=round_box(half, size.soft_flatness, (middle - length, skin)),
        ),
        frame=link.frame,
    )
    sleeve = [_sleeve(size, link, middle)] if middle > 1.0 else []
    joint = [_joint(size, link)] if 0.85 * size.soft_widths_mm[link.number] / 2 < skin else []
    return [*joint, *sleeve, cap]
