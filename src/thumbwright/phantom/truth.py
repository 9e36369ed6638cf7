"""What is true of a phantom: every named point in space and on the film, lengths, the ball."""

from dataclasses import dataclass
from itertools import pairwise
from math import dist

import numpy as np

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import LandmarkError
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import (
    GREAT_TOE,
    SECOND_TOE,
    THUMB,
    Landmark,
    Point,
    Ray,
    RayName,
)
from thumbwright.phantom.objects import MetalRuler, ruler_place
from thumbwright.phantom.poses import Chain
from thumbwright.phantom.projection import BallShadow, Geometry, Place, Vector, ball_shadow
from thumbwright.phantom.scene import Scene


@dataclass(frozen=True, slots=True, kw_only=True)
class TruePoint:
    """A point in space and its shadow."""

    place_mm: Place
    """In the frame of the detector; the third number is the height over it."""
    pixel: Point
    """(column, row) from the centre of the upper left pixel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueBone:
    """One bone that is there, whole or cut."""

    name: str
    base: TruePoint
    end: TruePoint
    """Head, tip, or where it was cut."""
    joint: str
    """Name of the joint at its base."""
    joint_centre: TruePoint
    """Middle of the gap at its base."""
    tilt_deg: float
    """Against the detector, far end up."""
    length_mm: float
    """Of what is there."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueRay:
    """One ray as it is."""

    name: RayName
    landmarks: tuple[Landmark, ...]
    """Those that exist, from body to the end of the bone, the skin left out."""
    bones: tuple[TrueBone, ...]
    height_mm: float
    """Over the detector, of the middle between first base and last end."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueBall:
    """One metal ball."""

    diameter_mm: float
    centre_mm: Place
    shadow: BallShadow
    above_ray_mm: dict[RayName, float]
    """Height of its middle over the middle of each ray's bones."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TrueRuler:
    """First and last tick of a ruler."""

    start: TruePoint
    end: TruePoint
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Truth:
    """Everything that is known of one film."""

    region: Region
    side: Side
    points: dict[Landmark, TruePoint]
    rays: dict[RayName, TrueRay]
    balls: tuple[TrueBall, ...]
    rulers: tuple[TrueRuler, ...]

    def pixel(self, landmark: Landmark) -> Point:
        """Return where a named point lies on the film (column, row)."""
        return self._point(landmark).pixel

    def place_mm(self, landmark: Landmark) -> Place:
        """Return where a named point lies in space [mm]."""
        return self._point(landmark).place_mm

    def length_mm(self, ray: RayName, start: Landmark, stop: Landmark) -> float:
        """Return the true length from one named point of a ray to another, bone by bone [mm].

        Notes
        -----
        The sum of straight stretches through all named points between them, in space: bones
        along their axes and the gaps of the joints. A skin end or skin tip may be the last.
        """
        names = self._walk(ray)
        for name in (start, stop):
            if name not in names:
                msg = (
                    f"{name.words} was asked for; on the {ray.value} of this phantom there are "
                    f"{', '.join(one.words for one in names)}; choose one of them"
                )
                raise LandmarkError(msg)
        low, high = sorted((names.index(start), names.index(stop)))
        places = [self.points[name].place_mm for name in names[low : high + 1]]
        return sum(dist(one, other) for one, other in pairwise(places))

    def length_to_tip_mm(self, ray: RayName, start: Landmark | str) -> float:
        """Return the true length from a named point or joint to the end of the last bone [mm].

        Parameters
        ----------
        ray
            The ray.
        start
            A named point of it, or a joint: "CMC joint", "MTP joint"; a joint's length begins
            at the middle of its gap.
        """
        end = self.rays[ray].landmarks[-1]
        if isinstance(start, Landmark):
            return self.length_mm(ray, start, end)
        for number, bone in enumerate(self.rays[ray].bones):
            if bone.joint == start:
                base = self.rays[ray].landmarks[2 * number]
                half_gap = dist(bone.joint_centre.place_mm, bone.base.place_mm)
                return half_gap + self.length_mm(ray, base, end)
        joints = ", ".join(bone.joint for bone in self.rays[ray].bones)
        msg = f"the joint {start} was asked for; there are {joints}; choose one of them"
        raise LandmarkError(msg)

    def _walk(self, ray: RayName) -> tuple[Landmark, ...]:
        skins = [name for name in _SKIN[ray] if name in self.points]
        return (*self.rays[ray].landmarks, *skins)

    def _point(self, landmark: Landmark) -> TruePoint:
        if landmark not in self.points:
            msg = (
                f"{landmark.words} was asked for; this phantom has "
                f"{', '.join(one.words for one in self.points)}; choose one of them"
            )
            raise LandmarkError(msg)
        return self.points[landmark]


_SKIN = {
    RayName.THUMB: (Landmark.SKIN_TIP, Landmark.STUMP_SKIN_END),
    RayName.GREAT_TOE: (Landmark.GREAT_SKIN_TIP,),
    RayName.SECOND_TOE: (Landmark.SECOND_SKIN_TIP,),
}


def truth_of(scene: Scene, geometry: Geometry) -> Truth:
    """Return what is true of a scene under a beam; nothing is drawn for it."""
    points: dict[Landmark, TruePoint] = {}
    rays: dict[RayName, TrueRay] = {}
    named = ((0, THUMB),) if scene.region is Region.HAND else ((0, GREAT_TOE), (1, SECOND_TOE))
    for number, ray in named:
        rays[ray.name] = _true_ray(scene, geometry, number, ray, points)
    if scene.region is Region.HAND:
        index = scene.chain(1).links[0]
        points[Landmark.INDEX_METACARPAL_BASE] = _point(scene, geometry, index.base)
        points[Landmark.INDEX_METACARPAL_HEAD] = _point(scene, geometry, index.end)
    return Truth(
        region=scene.region,
        side=scene.side,
        points=points,
        rays=rays,
        balls=_true_balls(scene, geometry, rays),
        rulers=tuple(
            _true_ruler(scene, geometry, thing)
            for thing in scene.things
            if isinstance(thing, MetalRuler)
        ),
    )


def _point(scene: Scene, geometry: Geometry, body: Vector | Place) -> TruePoint:
    place = scene.stance.place(body)
    return TruePoint(place_mm=place, pixel=geometry.pixel_of(place))


def _true_ray(
    scene: Scene, geometry: Geometry, number: int, ray: Ray, points: dict[Landmark, TruePoint]
) -> TrueRay:
    chain = scene.chain(number)
    bones = tuple(
        _true_bone(scene, geometry, number, ray, position) for position in range(len(chain.links))
    )
    landmarks: list[Landmark] = []
    for link, bone in zip(chain.links, bones, strict=True):
        named = ray.bones[link.number]
        points[named.base] = bone.base
        landmarks.append(named.base)
        if link.cut_at_mm is None:
            points[named.head] = bone.end
            landmarks.append(named.head)
    skin = _point(scene, geometry, chain.skin_end)
    if chain.lost:
        points[Landmark.STUMP_BONE_END] = bones[-1].end
        points[Landmark.STUMP_SKIN_END] = skin
        landmarks.append(Landmark.STUMP_BONE_END)
    else:
        points[ray.skin_tip] = skin
    return TrueRay(
        name=ray.name,
        landmarks=tuple(landmarks),
        bones=bones,
        height_mm=scene.poses[number].height_mm,
    )


def _true_bone(scene: Scene, geometry: Geometry, number: int, ray: Ray, position: int) -> TrueBone:
    chain: Chain = scene.chain(number)
    link = chain.links[position]
    if position:
        centre = (chain.links[position - 1].end + link.base) / 2
    else:
        centre = link.base - scene.sizes[number].first_gap_mm / 2 * link.along
    return TrueBone(
        name=ray.bones[link.number].name,
        base=_point(scene, geometry, link.base),
        end=_point(scene, geometry, link.end),
        joint=ray.joints[link.number],
        joint_centre=_point(scene, geometry, centre),
        tilt_deg=float(np.degrees(np.arcsin(link.along[2]))),
        length_mm=float(np.linalg.norm(link.end - link.base)),
    )


def _true_balls(
    scene: Scene, geometry: Geometry, rays: dict[RayName, TrueRay]
) -> tuple[TrueBall, ...]:
    balls: list[TrueBall] = []
    for ball in scene.balls:
        centre = scene.stance.place(ball.centre_mm)
        balls.append(
            TrueBall(
                diameter_mm=ball.diameter_mm,
                centre_mm=centre,
                shadow=ball_shadow(geometry, centre, ball.diameter_mm),
                above_ray_mm={name: centre[2] - ray.height_mm for name, ray in rays.items()},
            )
        )
    return tuple(balls)


def _true_ruler(scene: Scene, geometry: Geometry, ruler: MetalRuler) -> TrueRuler:
    last = round(ruler.length_mm / ruler.tick_every_mm) * ruler.tick_every_mm
    return TrueRuler(
        start=_point(scene, geometry, ruler_place(ruler, 0.0)),
        end=_point(scene, geometry, ruler_place(ruler, last)),
        length_mm=last,
    )
