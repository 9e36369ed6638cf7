"""Things of metal on or beside a hand or foot: ball, ruler, letter, ring, screw.

Places are given in the frame of the body (X, Y), with the height over the detector as third
number. A letter is laid so that it reads rightly on the film, on both sides.
"""

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np

from thumbwright.phantom.bones import Part
from thumbwright.phantom.projection import Place, leaning
from thumbwright.phantom.solids import (
    Between,
    Frame,
    Round,
    Shape,
    block,
    convex,
    ellipsoid,
    round_box,
)
from thumbwright.phantom.tissues import Tissue, excess_per_mm

LETTER_STROKES: dict[str, tuple[tuple[float, float, float, float, float], ...]] = {
    "L": ((-0.30, 0.0, 0.10, 0.5, 0.0), (0.02, -0.40, 0.30, 0.10, 0.0)),
    "R": (
        (-0.30, 0.0, 0.10, 0.5, 0.0),
        (-0.02, 0.40, 0.18, 0.10, 0.0),
        (-0.02, 0.02, 0.18, 0.10, 0.0),
        (0.24, 0.21, 0.10, 0.29, 0.0),
        (0.14, -0.28, 0.10, 0.25, 25.0),
    ),
}
"""Middle (right, up), half width, half height, and lean [deg] of each stroke, per letter height."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalBall:
    """A steel ball of known size."""

    diameter_mm: float
    centre_mm: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class MetalRuler:
    """A clear ruler with metal ticks; only the ticks show."""

    start_mm: tuple[float, float]
    """First tick (X, Y)."""
    direction_deg: float
    """From +Y towards +X."""
    height_mm: float
    length_mm: float = 100.0
    tick_every_mm: float = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class LeadLetter:
    """The letter L or R."""

    letter: str
    centre_mm: Place
    letter_height_mm: float = 12.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring worn on a proximal phalanx."""

    finger: int
    """Ray, counted from 0 at the thumb or great toe."""
    place_share: float = 0.45
    """Place along the proximal phalanx [-]."""
    width_mm: float = 4.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Screw:
    """A screw along the axis of a first bone (metacarpal or metatarsal)."""

    finger: int
    from_mm: float = 12.0
    length_mm: float = 24.0
    diameter_mm: float = 2.7


def ball_part(ball: MetalBall, centre: Place) -> Part:
    """Return the ball as a solid about a place in the frame of the detector."""
    half = ball.diameter_mm / 2
    body = ellipsoid(middle_mm=0.0, half_length_mm=half, half_width_mm=half)
    shape = convex(body, box=round_box(half, 1.0, (-half, half)))
    return metal(shape, Frame(origin=np.array(centre), axes=np.eye(3)))


def ruler_parts(ruler: MetalRuler) -> list[Part]:
    """Return the ticks of a ruler, in the frame of the body."""
    count = round(ruler.length_mm / ruler.tick_every_mm)
    return [_tick(ruler, number) for number in range(count + 1)]


def ruler_place(ruler: MetalRuler, at_mm: float) -> Place:
    """Return the middle of a tick in the frame of the body."""
    turn = radians(ruler.direction_deg)
    return (
        ruler.start_mm[0] + at_mm * sin(turn),
        ruler.start_mm[1] + at_mm * cos(turn),
        ruler.height_mm,
    )


def _tick(ruler: MetalRuler, number: int) -> Part:
    half = 3.5 if number % 5 == 0 else 2.0
    frame = Frame(
        origin=np.array(ruler_place(ruler, number * ruler.tick_every_mm)),
        axes=leaning(ruler.direction_deg, 0.0, 0.0),
    )
    return metal(block(half_mm=(half, 0.15, 0.25)), frame)


def letter_parts(letter: LeadLetter, centre: Place) -> list[Part]:
    """Return the strokes of a letter about a place in the frame of the detector."""
    size = letter.letter_height_mm
    parts: list[Part] = []
    for right, up, half_width, half_height, lean_deg in LETTER_STROKES[letter.letter]:
        lean = radians(lean_deg)
        along = np.array([sin(lean), cos(lean), 0.0])
        across = np.array([cos(lean), -sin(lean), 0.0])
        axes = np.array([across, [0.0, 0.0, 1.0], along])
        origin = np.array(centre) + size * np.array([right, -up, 0.0])
        shape = block(half_mm=(half_width * size, 0.75, half_height * size))
        parts.append(metal(shape, Frame(origin=origin, axes=axes)))
    return parts


def ring_part(ring: Ring, frame: Frame, bone_mm: float, half_width_mm: float) -> Part:
    """Return a ring about a bone whose soft parts have a half width there."""
    inner, outer = half_width_mm + 0.3, half_width_mm + 2.0
    middle = ring.place_share * bone_mm
    low, high = middle - ring.width_mm / 2, middle + ring.width_mm / 2
    sides = Between(low_mm=low, high_mm=high)
    hole = Round(constant=inner**2)
    box = round_box(outer, 1.0, (low, high))
    return metal(convex(Round(constant=outer**2), sides, box=box).without(hole), frame)


def screw_part(screw: Screw, frame: Frame) -> Part:
    """Return a screw in a bone; it takes the room of spongy bone."""
    half = screw.diameter_mm / 2
    low, high = screw.from_mm, screw.from_mm + screw.length_mm
    shape = convex(
        Round(constant=half**2),
        Between(low_mm=low, high_mm=high),
        box=round_box(half, 1.0, (low, high)),
    )
    return Part(
        shape=shape,
        frame=frame,
        excess_per_mm=excess_per_mm(Tissue.METAL, Tissue.CANCELLOUS),
        metal=True,
    )


def metal(shape: Shape, frame: Frame) -> Part:
    """Return a solid of metal in air."""
    weakening = excess_per_mm(Tissue.METAL, Tissue.AIR)
    return Part(shape=shape, frame=frame, excess_per_mm=weakening, metal=True)
