"""What is laid on the detector: a hand or a foot of one side, its pose, and things of metal."""

from dataclasses import dataclass, replace
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.image import Region
from thumbwright.phantom.bones import Part
from thumbwright.phantom.objects import LeadLetter, MetalBall, MetalRuler, Ring, Screw
from thumbwright.phantom.poses import Chain, Loss, RayPose, chain
from thumbwright.phantom.projection import Place, Vector
from thumbwright.phantom.sizes import PersonSize, RaySize, adult
from thumbwright.phantom.soft_parts import Member
from thumbwright.phantom.solids import Frame

RAYS = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Stance:
    """Where and how the body lies on the detector.

    Notes
    -----
    Seen from the source, as the film is stored: a right hand or foot has its thumb or great
    toe to the left, a left one to the right, tips up. The left is the mirror image.
    """

    side: Side
    origin_mm: tuple[float, float]
    """Place of the body's origin on the detector (x, y): base of the middle metacarpal or of
    the second metatarsal."""
    turned_deg: float = 0.0
    """Turn of the whole on the picture, clockwise for a right side, mirrored for a left."""

    @property
    def matrix(self) -> NDArray[np.float64]:
        """Return the turn and mirroring that takes the body's frame to the detector's."""
        turn = radians(self.turned_deg)
        mirror = 1.0 if self.side is Side.RIGHT else -1.0
        return np.array(
            [
                [mirror * cos(turn), mirror * sin(turn), 0.0],
                [sin(turn), -cos(turn), 0.0],
                [0.0, 0.0, 1.0],
            ]
        )

    def place(self, body: Vector | Place) -> Place:
        """Return a place of the body in the frame of the detector [mm]."""
        x, y, z = self.matrix @ np.asarray(body) + np.array([*self.origin_mm, 0.0])
        return float(x), float(y), float(z)

    def frame(self, body: Frame) -> Frame:
        """Return a frame of the body in the frame of the detector."""
        return Frame(origin=np.array(self.place(body.origin)), axes=body.axes @ self.matrix.T)

    def part(self, body: Part) -> Part:
        """Return a part of the body in the frame of the detector."""
        return replace(body, frame=self.frame(body.frame))

    def member(self, body: Member) -> Member:
        """Return a soft part in the frame of the detector."""
        return replace(body, frame=self.frame(body.frame))


Distractor = MetalRuler | LeadLetter | Ring | Screw


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """One hand or foot on the detector."""

    region: Region
    stance: Stance
    sizes: tuple[RaySize, ...]
    """Five rays from the thumb or great toe on."""
    poses: tuple[RayPose, ...]
    """One for each ray."""
    height_mm: float = 25.0
    """Of wrist and palm, or tarsus, over the detector."""
    factor: float = 1.0
    """Size of wrist and palm, or tarsus, over an adult's [-]."""
    loss: Loss | None = None
    """Of the first ray: the thumb."""
    balls: tuple[MetalBall, ...] = ()
    things: tuple[Distractor, ...] = ()

    def __post_init__(self) -> None:
        """Demand five rays, and a loss in hands only."""
        if len(self.sizes) != RAYS or len(self.poses) != RAYS:
            msg = (
                f"a scene was given {len(self.sizes)} sizes and {len(self.poses)} poses; allowed "
                "are five of each, from the thumb or great toe on; add the missing rays"
            )
            raise FilmError(msg)
        if self.loss is not None and self.region is not Region.HAND:
            msg = "a loss was given for a foot; allowed are losses of the thumb; leave it out"
            raise FilmError(msg)

    @property
    def side(self) -> Side:
        """Return which side it is."""
        return self.stance.side

    def chain(self, ray: int) -> Chain:
        """Return the bones of a ray in the frame of the body, counted from 0 at the thumb."""
        return chain(self.sizes[ray], self.poses[ray], self.loss if ray == 0 else None)


def hand_scene(
    *,
    side: Side,
    person: PersonSize | None = None,
    height_mm: float = 25.0,
    loss: Loss | None = None,
    balls: tuple[MetalBall, ...] = (),
    things: tuple[Distractor, ...] = (),
    field_mm: tuple[float, float] | None = None,
) -> Scene:
    """Return a hand laid palm down, fingers a little spread, thumb away from the index.

    Parameters
    ----------
    side
        Left or right.
    person
        Sizes; an adult if none.
    height_mm
        Of the bones over the detector. [mm]
    loss
        Where the thumb was lost.
    balls, things
        Metal balls, and other things of metal.
    field_mm
        Width and height of the film in which it is to lie; that of :func:`field_for` if none. [mm]
    """
    sizes = person or adult()
    return Scene(
        region=Region.HAND,
        stance=_laid(side, field_mm or field_for(sizes), (0.57, 0.695)),
        sizes=sizes.hand,
        poses=_spread(_HAND_BASES, _HAND_DIRECTIONS, _HAND_TURNS, sizes.factor, height_mm),
        height_mm=height_mm,
        factor=sizes.factor,
        loss=loss,
        balls=balls,
        things=things,
    )


def foot_scene(
    *,
    side: Side,
    person: PersonSize | None = None,
    height_mm: float = 30.0,
    balls: tuple[MetalBall, ...] = (),
    things: tuple[Distractor, ...] = (),
    field_mm: tuple[float, float] | None = None,
) -> Scene:
    """Return a foot standing on the detector, seen from above.

    Parameters
    ----------
    side
        Left or right.
    person
        Sizes; an adult if none.
    height_mm
        Of the bones over the detector. [mm]
    balls, things
        Metal balls, and other things of metal.
    field_mm
        Width and height of the film in which it is to lie; that of :func:`field_for` if none. [mm]
    """
    sizes = person or adult()
    return Scene(
        region=Region.FOOT,
        stance=_laid(side, field_mm or field_for(sizes), (0.475, 0.615)),
        sizes=sizes.foot,
        poses=_spread(_FOOT_BASES, _FOOT_DIRECTIONS, _FOOT_TURNS, sizes.factor, height_mm),
        height_mm=height_mm,
        factor=sizes.factor,
        balls=balls,
        things=things,
    )


def field_for(person: PersonSize) -> tuple[float, float]:
    """Return width and height of a film on which a person's hand or foot fits [mm]."""
    return round(190.0 * person.factor, 1), round(245.0 * person.factor, 1)


def _laid(side: Side, field_mm: tuple[float, float], shares: tuple[float, float]) -> Stance:
    """Lay the origin at shares of the field, mirrored for a left side."""
    share = shares[0] if side is Side.RIGHT else 1.0 - shares[0]
    return Stance(side=side, origin_mm=(share * field_mm[0], shares[1] * field_mm[1]))


def _spread(
    bases: tuple[tuple[float, float], ...],
    directions: tuple[float, ...],
    turns: tuple[tuple[float, ...], ...],
    factor: float,
    height_mm: float,
) -> tuple[RayPose, ...]:
    return tuple(
        RayPose(
            base_mm=(factor * base[0], factor * base[1]),
            direction_deg=direction,
            height_mm=height_mm,
            turns_deg=turn,
            rolls_deg=(25.0,) * len(turn) if directions is _HAND_DIRECTIONS and not number else (),
        )
        for number, (base, direction, turn) in enumerate(zip(bases, directions, turns, strict=True))
    )


_HAND_BASES = ((-29.0, -9.0), (-14.5, 1.0), (0.0, 0.0), (12.5, -2.5), (24.0, -7.0))
_HAND_DIRECTIONS = (-42.0, -9.0, -2.0, 5.0, 13.0)
_HAND_TURNS = (
    (0.0, 9.0, 15.0),
    (0.0, 2.0, 3.0, 3.0),
    (0.0, 1.0, 1.0, 1.0),
    (0.0, 0.0, -1.0, -2.0),
    (0.0, 1.0, -1.0, -4.0),
)
_FOOT_BASES = ((-18.5, 8.0), (0.0, 0.0), (12.5, 0.0), (23.5, -5.0), (34.0, -11.0))
_FOOT_DIRECTIONS = (-7.0, 1.5, 6.0, 10.0, 14.0)
_FOOT_TURNS = (
    (0.0, 8.0, 10.0),
    (0.0, 1.0, 1.0, 1.0),
    (0.0, -4.0, -6.0, -6.0),
    (0.0, -9.0, -12.0, -13.0),
    (0.0, -15.0, -20.0, -22.0),
)
