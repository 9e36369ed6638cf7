"""Invented people, drawn at random: injured hand, other hand and foot, filmed by one protocol."""

from dataclasses import dataclass, replace

import numpy as np
from scipy.special import ndtr

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RayName
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.objects import LeadLetter, MetalBall
from thumbwright.phantom.physics import Exposure, Photometric, Response
from thumbwright.phantom.poses import Loss, RayPose, ray_length_mm
from thumbwright.phantom.projection import Geometry, centred_geometry
from thumbwright.phantom.scene import Scene, field_for, foot_scene, hand_scene
from thumbwright.phantom.sizes import PersonSize, RaySize, adult, child
from thumbwright.phantom.truth import Truth, truth_of

Range = tuple[float, float]
"""Least and greatest of an even spread."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Protocol:
    """How films are taken and what varies; even spreads unless said. All are assumptions."""

    source_to_detector_mm: Range = (950.0, 1050.0)
    bone_height_mm: Range = (20.0, 45.0)
    off_centre_mm: float = 25.0
    """Half width of where the source stands off the middle, along both directions."""
    pitch_mm: tuple[float, ...] = (0.15,)
    """Pitches that occur, square pixels."""
    tilt_limit_deg: float = 6.0
    """Each bone's tilt against the detector is even between minus and plus this."""
    tilt_shared: float = 0.9
    """Correlation of the tilts of the bones of one ray: 1 shared, 0 independent [-]."""
    turn_deg: float = 3.0
    """Half width of each bone's turn in the plane of the film, and of the whole."""
    ball_diameter_mm: tuple[float, ...] = (10.0, 12.0, 15.0, 20.0, 25.0)
    ball_tolerance_mm: float = 5.0
    """The ball's middle is within this of the height of the bones."""
    toe: RayName = RayName.SECOND_TOE
    """Whose bones' height the ball on the foot film is laid at."""
    age_years: float | None = None
    """A child of this age; None for adults."""
    size_sd_share: float = 0.06
    """Standard deviation of the size of people."""
    bone_sd_share: float = 0.03
    """Standard deviation of each bone's length about that of its person."""
    side_sd_share: float = 0.01
    """Standard deviation of each thumb bone's length between the two hands."""
    soft_beyond_mm: Range = (3.0, 9.0)
    letter_prob: float = 0.7
    noisy: bool = True

    def __post_init__(self) -> None:
        """Refuse a correlation that is none."""
        if not 0 <= self.tilt_shared <= 1:
            msg = (
                f"the tilts' correlation was given as {self.tilt_shared}; allowed is 0 to 1; "
                "0.9 is usual"
            )
            raise FilmError(msg)


@dataclass(frozen=True, slots=True, kw_only=True)
class PlannedFilm:
    """A film before it is exposed."""

    scene: Scene
    geometry: Geometry
    exposure: Exposure

    @property
    def truth(self) -> Truth:
        """Return what is true of it."""
        return truth_of(self.scene, self.geometry)


@dataclass(frozen=True, slots=True, kw_only=True)
class StudyPlan:
    """The three films of one invented person, before they are exposed."""

    injured_side: Side
    injured: PlannedFilm
    other: PlannedFilm
    foot: PlannedFilm
    loss: Loss


@dataclass(frozen=True, slots=True, kw_only=True)
class Study:
    """The three films of one invented person."""

    plan: StudyPlan
    injured: PhantomFilm
    other: PhantomFilm
    foot: PhantomFilm


def random_study(rng: np.random.Generator, protocol: Protocol) -> Study:
    """Draw a person and expose injured hand, other hand and foot.

    Parameters
    ----------
    rng
        Chance; the same start gives the same films.
    protocol
        What varies and how far.
    """
    plan = random_plan(rng, protocol)
    films = [
        expose(film.scene, film.geometry, film.exposure, rng)
        for film in (plan.injured, plan.other, plan.foot)
    ]
    return Study(plan=plan, injured=films[0], other=films[1], foot=films[2])


def random_plan(rng: np.random.Generator, protocol: Protocol) -> StudyPlan:
    """Draw a person and how the films are to be taken; truth without drawing a film."""
    person = _person(rng, protocol)
    injured = Side.LEFT if rng.random() < 0.5 else Side.RIGHT
    foot_side = Side.LEFT if rng.random() < 0.5 else Side.RIGHT
    lost_from = replace(person, hand=(_other_side(person.hand[0], rng, protocol), *person.hand[1:]))
    loss = _loss(lost_from.hand[0], rng, protocol)
    return StudyPlan(
        injured_side=injured,
        injured=_film(_hand(lost_from, injured, loss, rng, protocol), lost_from, rng, protocol),
        other=_film(_hand(person, injured.other, None, rng, protocol), person, rng, protocol),
        foot=_film(_foot(person, foot_side, rng, protocol), person, rng, protocol),
        loss=loss,
    )


def _person(rng: np.random.Generator, protocol: Protocol) -> PersonSize:
    factor = float(np.clip(1 + protocol.size_sd_share * rng.standard_normal(), 0.82, 1.18))
    person = adult(factor) if protocol.age_years is None else child(protocol.age_years, factor)
    spread = protocol.bone_sd_share
    return replace(
        person,
        hand=tuple(_varied(ray, rng, spread) for ray in person.hand),
        foot=tuple(_varied(ray, rng, spread) for ray in person.foot),
    )


def _varied(ray: RaySize, rng: np.random.Generator, sd_share: float) -> RaySize:
    """Return a ray whose bones differ in length from the usual proportions."""
    draws = np.clip(rng.standard_normal(len(ray.bones)), -2.5, 2.5)
    return replace(
        ray,
        bones=tuple(
            bone.scaled(1 + sd_share * float(draw), width_factor=1.0)
            for bone, draw in zip(ray.bones, draws, strict=True)
        ),
    )


def _other_side(ray: RaySize, rng: np.random.Generator, protocol: Protocol) -> RaySize:
    return _varied(ray, rng, protocol.side_sd_share)


def _loss(thumb: RaySize, rng: np.random.Generator, protocol: Protocol) -> Loss:
    """Draw a level between the neck of the metacarpal and the IP joint, evenly in millimetres."""
    metacarpal, phalanx = thumb.bones[0], thumb.bones[1]
    neck = metacarpal.length_mm - 2 * metacarpal.head_length_share * metacarpal.head_width_mm
    joint = metacarpal.length_mm + thumb.gaps_mm[0] + phalanx.length_mm + thumb.gaps_mm[1] / 2
    kept = float(rng.uniform(neck, joint))
    return Loss(
        kept_share=kept / ray_length_mm(thumb),
        soft_beyond_mm=float(rng.uniform(*protocol.soft_beyond_mm)),
    )


def _hand(
    person: PersonSize,
    side: Side,
    loss: Loss | None,
    rng: np.random.Generator,
    protocol: Protocol,
) -> Scene:
    height = float(rng.uniform(*protocol.bone_height_mm))
    scene = hand_scene(side=side, person=person, height_mm=height, loss=loss)
    scene = posed(scene, rng, protocol)
    return with_metal(scene, 0, (0.25, 20.0), rng, protocol)


def _foot(person: PersonSize, side: Side, rng: np.random.Generator, protocol: Protocol) -> Scene:
    height = float(rng.uniform(*protocol.bone_height_mm))
    scene = foot_scene(side=side, person=person, height_mm=height)
    scene = posed(scene, rng, protocol)
    ray = 1 if protocol.toe is RayName.SECOND_TOE else 0
    return with_metal(scene, ray, (0.70, 19.5), rng, protocol)


def posed(scene: Scene, rng: np.random.Generator, protocol: Protocol) -> Scene:
    """Tilt and turn every ray, and turn the whole a little."""
    return replace(
        scene,
        poses=tuple(_posed_ray(pose, rng, protocol) for pose in scene.poses),
        stance=replace(scene.stance, turned_deg=_even(rng, protocol.turn_deg)),
    )


def _posed_ray(pose: RayPose, rng: np.random.Generator, protocol: Protocol) -> RayPose:
    count = len(pose.turns_deg)
    turns = tuple(turn + _even(rng, protocol.turn_deg) for turn in pose.turns_deg)
    return replace(
        pose,
        direction_deg=pose.direction_deg + _even(rng, protocol.turn_deg),
        turns_deg=turns,
        tilts_deg=random_tilts(rng, count, protocol.tilt_limit_deg, protocol.tilt_shared),
    )


def random_tilts(
    rng: np.random.Generator, count: int, limit_deg: float, shared: float
) -> tuple[float, ...]:
    """Draw the tilts of the bones of one ray, each even between minus and plus the limit.

    Notes
    -----
    Normal numbers with correlation ``shared`` are pushed through their own distribution
    function, so each tilt is exactly even, however strongly they hang together.
    """
    common, own = rng.standard_normal(), rng.standard_normal(count)
    mixed = np.sqrt(shared) * common + np.sqrt(1 - shared) * own
    return tuple(float(tilt) for tilt in limit_deg * (2 * ndtr(mixed) - 1))


def with_metal(
    scene: Scene,
    ray: int,
    beside: tuple[float, float],
    rng: np.random.Generator,
    protocol: Protocol,
) -> Scene:
    """Lay a ball beside the first ray at the height of a ray's bones, and perhaps a letter.

    ``beside`` is the place along the first ray [-], and the half width of the soft parts of an
    adult there [mm].
    """
    chain = scene.chain(0)
    diameter = float(rng.choice(protocol.ball_diameter_mm))
    start, end = chain.links[0].base[:2], chain.links[-1].end[:2]
    along = (end - start) / np.linalg.norm(end - start)
    outwards = np.array([-along[1], along[0]])
    length = ray_length_mm(scene.sizes[0])
    away = scene.factor * beside[1] + diameter / 2 + float(rng.uniform(2.0, 5.0))
    middle = start + beside[0] * length * along + away * outwards
    height = scene.poses[ray].height_mm + _even(rng, protocol.ball_tolerance_mm)
    ball = MetalBall(diameter_mm=diameter, centre_mm=(float(middle[0]), float(middle[1]), height))
    if rng.random() >= protocol.letter_prob:
        return replace(scene, balls=(ball,))
    corner = (-72.0, 140.0) if scene.region is Region.HAND else (-58.0, 122.0)
    place = (scene.factor * corner[0], scene.factor * corner[1], 5.0)
    letter = LeadLetter(
        letter="L" if scene.side is Side.LEFT else "R",
        centre_mm=place,
        letter_height_mm=11.0 * scene.factor,
    )
    return replace(scene, balls=(ball,), things=(letter,))


def _film(
    scene: Scene, person: PersonSize, rng: np.random.Generator, protocol: Protocol
) -> PlannedFilm:
    pitch = float(rng.choice(protocol.pitch_mm))
    off = protocol.off_centre_mm
    geometry = centred_geometry(
        field_mm=field_for(person),
        pitch_mm=(pitch, pitch),
        source_to_detector_mm=float(rng.uniform(*protocol.source_to_detector_mm)),
        off_centre_mm=(_even(rng, off), _even(rng, off)),
    )
    return PlannedFilm(
        scene=within_film(scene, geometry), geometry=geometry, exposure=_exposure(rng, protocol)
    )


def within_film(scene: Scene, geometry: Geometry) -> Scene:
    """Shift the whole sideways until the shadow of the ball lies 4 mm inside the film."""
    for ball in truth_of(scene, geometry).balls:
        middle = ball.shadow.centre[0] * geometry.column_pitch_mm
        room = ball.shadow.semi_major_mm + 4.0
        shift = max(0.0, room - middle) - max(0.0, middle + room - geometry.size_mm[0])
        x_mm, y_mm = scene.stance.origin_mm
        scene = replace(scene, stance=replace(scene.stance, origin_mm=(x_mm + shift, y_mm)))
    return scene


def _exposure(rng: np.random.Generator, protocol: Protocol) -> Exposure:
    """Draw one of the detectors that occur, and how it was exposed."""
    dark_is_large = rng.random() < 0.5
    linear = rng.random() < 0.3
    return Exposure(
        quanta_per_pixel=float(rng.uniform(800.0, 4000.0)),
        heel_share=_even(rng, 0.10),
        scatter_to_primary=float(rng.uniform(0.05, 0.30)),
        blur_mm=float(rng.uniform(0.07, 0.14)),
        noisy=protocol.noisy,
        response=Response.LINEAR if linear else Response.LOGARITHMIC,
        bits=int(rng.choice((12, 14, 16))),
        photometric=Photometric.MONOCHROME1 if dark_is_large else Photometric.MONOCHROME2,
    )


def _even(rng: np.random.Generator, half_width: float) -> float:
    return float(rng.uniform(-half_width, half_width))
