"""Everything of a hand or foot that is no ray: wrist and tarsus, palm and sole, forearm."""

from dataclasses import dataclass

import numpy as np

from thumbwright.core.radiograph.image import Region
from thumbwright.phantom.bones import END_SHELL_MM, BoneSize, Part, bone_parts
from thumbwright.phantom.poses import Chain
from thumbwright.phantom.projection import leaning
from thumbwright.phantom.scene import Scene
from thumbwright.phantom.soft_parts import Member, pad, trunk
from thumbwright.phantom.solids import Frame, Shape, block, convex, ellipsoid, round_box
from thumbwright.phantom.tissues import Tissue, excess_per_mm

ROUNDING = 1.10
"""Half axes of the ellipsoid that rounds a block, over the block's half sizes."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """A short bone: its middle (X, Y, height over the rays), half sizes, and turn."""

    middle_mm: tuple[float, float, float]
    half_mm: tuple[float, float, float]
    """Across, through, along."""
    direction_deg: float = 0.0


def body_parts(scene: Scene) -> list[Part]:
    """Return the bones of wrist or tarsus in the frame of the body."""
    hand = scene.region is Region.HAND
    blocks = _WRIST if hand else _TARSUS
    parts = [part for one in blocks for part in _block_parts(one, scene)]
    for ray, half in (_HAND_SEATS if hand else _FOOT_SEATS).items():
        parts += seat_parts(scene, ray, half)
    return parts + (_forearm_bones(scene) if hand else _sesamoids(scene))


def body_members(scene: Scene) -> list[Member]:
    """Return the soft parts of palm and forearm, or of the foot, in the frame of the body."""
    pads = _PALM if scene.region is Region.HAND else _SOLE
    members = [
        pad(
            _frame(scene, one.middle_mm, one.direction_deg),
            half_length_mm=scene.factor * one.half_mm[2],
            half_width_mm=scene.factor * one.half_mm[0],
            flatness=one.half_mm[1] / one.half_mm[0],
        )
        for one in pads
    ]
    if scene.region is Region.FOOT:
        return members
    forearm = trunk(
        _frame(scene, (0.0, -18.0, 0.0), 180.0),
        length_mm=280.0 * scene.factor,
        half_widths_mm=(30.0 * scene.factor, 42.0 * scene.factor),
        flatness=0.66,
    )
    return [*members, forearm]


def seat_parts(scene: Scene, ray: int, half_mm: tuple[float, float, float]) -> list[Part]:
    """Return the block on which a ray rests, one joint gap below the middle of its base."""
    chain: Chain = scene.chain(ray)
    first = chain.links[0]
    half = scene.factor * np.array(half_mm)
    down = float(half[2]) + scene.sizes[ray].first_gap_mm
    frame = Frame(origin=first.frame.place(0.0, 0.0, -down), axes=first.frame.axes)
    return _shelled_block((float(half[0]), float(half[1]), float(half[2])), frame)


def _block_parts(one: Block, scene: Scene) -> list[Part]:
    half = scene.factor * np.array(one.half_mm)
    frame = _frame(scene, one.middle_mm, one.direction_deg)
    return _shelled_block((float(half[0]), float(half[1]), float(half[2])), frame)


def _shelled_block(half: tuple[float, float, float], frame: Frame) -> list[Part]:
    inside = (half[0] - END_SHELL_MM, half[1] - END_SHELL_MM, half[2] - END_SHELL_MM)
    return _shelled(
        block(half_mm=half, rounding_share=ROUNDING),
        block(half_mm=inside, rounding_share=ROUNDING),
        frame,
    )


def _shelled(outer: Shape, inner: Shape, frame: Frame) -> list[Part]:
    return [
        Part(
            shape=outer,
            frame=frame,
            excess_per_mm=excess_per_mm(Tissue.CORTICAL, Tissue.SOFT),
        ),
        Part(
            shape=inner,
            frame=frame,
            excess_per_mm=excess_per_mm(Tissue.CANCELLOUS, Tissue.CORTICAL),
            grainy=True,
        ),
    ]


def _frame(scene: Scene, middle_mm: tuple[float, float, float], direction_deg: float) -> Frame:
    origin = scene.factor * np.array(middle_mm) + np.array([0.0, 0.0, scene.height_mm])
    return Frame(origin=origin, axes=leaning(direction_deg, 0.0, 0.0))


def _forearm_bones(scene: Scene) -> list[Part]:
    parts: list[Part] = []
    for middle, size in _FOREARM:
        frame = _frame(scene, middle, 180.0)
        parts += bone_parts(size.scaled(scene.factor), frame)
    return parts


def _sesamoids(scene: Scene) -> list[Part]:
    """Return the two small bones under the head of the first metatarsal."""
    link, bone = scene.chain(0).links[0], scene.sizes[0].bones[0]
    width = bone.head_width_mm
    parts: list[Part] = []
    for side in (-1.0, 1.0):
        origin = link.frame.place(side * 0.27 * width, -0.46 * width, bone.length_mm - 0.62 * width)
        frame = Frame(origin=origin, axes=link.frame.axes)
        parts += _shelled(_egg(0.22 * width, 0.0), _egg(0.22 * width, END_SHELL_MM), frame)
    return parts


def _egg(half_mm: float, shell_mm: float) -> Shape:
    half_width, half_length = 0.8 * half_mm - shell_mm, half_mm - shell_mm
    body = ellipsoid(
        middle_mm=0.0, half_length_mm=half_length, half_width_mm=half_width, flatness=0.75
    )
    return convex(body, box=round_box(half_width, 0.75, (-half_length, half_length)))


_HAND_SEATS = {
    0: (8.0, 7.0, 7.0),
    1: (7.0, 7.0, 6.5),
    2: (8.2, 8.5, 11.5),
    3: (7.0, 8.0, 9.0),
    4: (6.0, 7.5, 8.0),
}
"""Trapezium, trapezoid, capitate, hamate in two parts: half sizes across, through, along."""
_FOOT_SEATS = {
    0: (9.5, 12.0, 12.0),
    1: (6.5, 9.5, 8.5),
    2: (6.3, 9.5, 11.5),
    3: (6.5, 9.5, 14.5),
    4: (6.0, 9.0, 12.0),
}
"""Cuneiforms one to three, cuboid in two parts."""
_WRIST = (
    Block(middle_mm=(-17.5, -28.0, 0.0), half_mm=(7.2, 6.5, 11.5), direction_deg=-40.0),
    Block(middle_mm=(-1.0, -32.5, 0.0), half_mm=(8.4, 8.0, 7.2), direction_deg=5.0),
    Block(middle_mm=(14.5, -29.5, -2.0), half_mm=(7.4, 6.5, 7.2), direction_deg=35.0),
    Block(middle_mm=(19.5, -26.0, -9.0), half_mm=(4.6, 3.8, 6.0), direction_deg=10.0),
)
"""Scaphoid, lunate, triquetrum, pisiform."""
_FOREARM = (
    (
        (-8.5, -43.5, 0.0),
        BoneSize(
            length_mm=230.0,
            base_width_mm=31.0,
            waist_width_mm=16.5,
            head_width_mm=18.0,
            cortex_mm=3.0,
            flatness=0.7,
        ),
    ),
    (
        (17.5, -46.0, 0.0),
        BoneSize(
            length_mm=230.0,
            base_width_mm=17.0,
            waist_width_mm=13.0,
            head_width_mm=16.0,
            cortex_mm=3.0,
            flatness=0.9,
        ),
    ),
)
_PALM = (
    Block(middle_mm=(4.0, 27.0, -1.0), half_mm=(42.0, 14.5, 58.0), direction_deg=2.0),
    Block(middle_mm=(-35.0, 4.0, -1.0), half_mm=(18.0, 12.5, 38.0), direction_deg=-42.0),
    Block(middle_mm=(-22.0, 30.0, -1.0), half_mm=(14.0, 10.0, 46.0), direction_deg=-12.0),
    Block(middle_mm=(-33.0, 8.0, -1.0), half_mm=(17.0, 8.0, 29.0), direction_deg=-27.0),
    Block(middle_mm=(-2.0, -18.0, 0.0), half_mm=(33.0, 19.5, 46.0)),
)
"""Palm, ball of the thumb, edge of the palm, web of the thumb, wrist."""
_TARSUS = (
    Block(middle_mm=(-7.5, -27.5, 4.0), half_mm=(18.0, 10.0, 7.5), direction_deg=12.0),
    Block(middle_mm=(-5.0, -57.0, 6.0), half_mm=(15.0, 11.0, 21.0), direction_deg=8.0),
    Block(middle_mm=(21.0, -68.0, -3.0), half_mm=(11.0, 11.0, 28.0), direction_deg=-6.0),
)
"""Navicular, talus, calcaneus."""
_SOLE = (
    Block(middle_mm=(12.0, 38.0, 0.0), half_mm=(45.0, 16.0, 58.0), direction_deg=9.0),
    Block(middle_mm=(8.0, -14.0, 2.0), half_mm=(43.0, 23.0, 84.0), direction_deg=3.0),
    Block(middle_mm=(8.0, -70.0, 3.0), half_mm=(35.0, 25.0, 70.0)),
)
"""Forefoot, midfoot, hindfoot."""
