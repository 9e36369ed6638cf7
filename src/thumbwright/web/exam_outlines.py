"""Outlines of hands and feet: our own simple line drawing, as closed curves by region."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]
"""Rightwards and downwards. [drawing units]"""

CELL_WIDTH = 240.0
CELL_HEIGHT = 330.0
_LEFT, _RIGHT = "left", "right"
_NAILED = ("_distal", "_toe")
_FINGERS = ("index", "middle", "ring", "little")
_TOES = ("great", "second", "third", "fourth", "fifth")


@dataclass(frozen=True, slots=True, kw_only=True)
class Region:
    """One part of the drawing that may carry marks."""

    name: str
    """Such as ``left_hand_palm.thumb_metacarpal``."""
    words: str
    """Such as "left hand, palm side: thumb metacarpal"."""
    path: str
    """Curve in the language of SVG paths. [drawing units]"""
    centre: Point
    """Where letters stand. [drawing units]"""
    nail: str = ""
    """Curve of a nail, where one is seen; it only helps the eye. [drawing units]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """One hand or foot seen from one side."""

    name: str
    words: str
    regions: tuple[Region, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Shape:
    name: str
    words: str
    corners: tuple[Point, ...]
    centre: Point


def _shape(name: str, words: str, corners: Iterable[Point], centre: Point | None = None) -> _Shape:
    points = tuple(corners)
    middle = (
        sum(x for x, _ in points) / len(points),
        sum(y for _, y in points) / len(points),
    )
    return _Shape(name=name, words=words, corners=points, centre=centre or middle)


def _segment(base: Point, tip: Point, width: float, tip_width: float, *, end: bool) -> list[Point]:
    """Return the corners of one bone's worth of a digit; an end bone is rounded at its tip."""
    length = hypot(tip[0] - base[0], tip[1] - base[1])
    along = ((tip[0] - base[0]) / length, (tip[1] - base[1]) / length)
    across = (-along[1], along[0])

    def at(share: float, aside: float) -> Point:
        way = share * length
        return (
            round(base[0] + along[0] * way + across[0] * aside, 1),
            round(base[1] + along[1] * way + across[1] * aside, 1),
        )

    half, tip_half = width / 2, tip_width / 2
    low = [at(0, half), at(0, -half)]
    if not end:
        return [*low, at(1, -tip_half), at(1, tip_half)]
    return [*low, at(0.72, -tip_half), at(1.04, -tip_half * 0.7), at(1.04, tip_half * 0.7),
            at(0.72, tip_half)]  # fmt: skip


def _digit(base: Point, tip: Point, width: float, shares: Sequence[float]) -> list[list[Point]]:
    """Return the pieces of a digit from its base to its tip."""
    pieces = []
    for number, (start, stop) in enumerate(zip((0.0, *shares), (*shares, 1.0), strict=True)):
        ends = [
            (base[0] + (tip[0] - base[0]) * share, base[1] + (tip[1] - base[1]) * share)
            for share in (start, stop)
        ]
        taper = 1 - 0.08 * number
        is_end = number == len(shares)
        pieces.append(_segment(ends[0], ends[1], width * taper, width * (taper - 0.08), end=is_end))
    return pieces


def _fingers() -> list[_Shape]:
    bases = ((92.0, 138.0), (122.0, 131.0), (152.0, 136.0), (181.0, 150.0))
    tips = ((80.0, 34.0), (121.0, 16.0), (159.0, 30.0), (201.0, 70.0))
    return [
        _shape(f"{name}_finger_{part}", f"{name} finger, {part} phalanx", corners)
        for name, base, tip in zip(_FINGERS, bases, tips, strict=True)
        for part, corners in zip(
            ("proximal", "middle", "distal"), _digit(base, tip, 28.0, (0.42, 0.72)), strict=True
        )
    ]


def _thumb() -> list[_Shape]:
    web = ((36, 160), (56, 154), (77, 143), (94, 214), (84, 214))
    basal_joint = ((65, 217), (84, 207), (98, 222), (90, 240), (72, 238))
    metacarpal = _segment((74, 216), (38, 168), 31, 29, end=False)
    proximal = _segment((38, 168), (22, 126), 29, 26, end=False)
    distal = _segment((22, 126), (14, 90), 26, 23, end=True)
    return [
        _shape("first_web", "first web", web, (70, 172)),
        _shape("basal_joint", "thumb, basal joint", basal_joint),
        _shape("thumb_metacarpal", "thumb metacarpal", metacarpal),
        _shape("thumb_proximal", "thumb, proximal phalanx", proximal),
        _shape("thumb_distal", "thumb, distal phalanx", distal),
    ]


def _hand() -> tuple[_Shape, ...]:
    """Return the shapes of a hand whose thumb is on the left of the drawing."""
    top = ((77.0, 143.0), (107.0, 134.0), (137.0, 132.0), (167.0, 140.0), (196.0, 155.0))
    low = ((94.0, 214.0), (113.0, 218.0), (132.0, 220.0), (152.0, 219.0), (176.0, 214.0))
    ulnar = (190.0, 186.0)
    palm = ((80, 222), *low, (182, 236), (184, 258), (93, 258), (84, 240))
    rays = [
        _shape(
            f"{name}_ray",
            f"{name} ray, metacarpal",
            (top[n], top[n + 1], *((ulnar,) if name == "little" else ()), low[n + 1], low[n]),
        )
        for n, name in enumerate(_FINGERS)
    ]
    return (
        _shape("forearm", "", ((93, 258), (184, 258), (187, 318), (90, 318))),
        _shape("palm", "", palm, (140, 240)),
        *rays,
        *_thumb(),
        *_fingers(),
    )


def _toes() -> list[_Shape]:
    bases = ((54.0, 112.0), (92.0, 104.0), (121.0, 109.0), (149.0, 120.0), (176.0, 136.0))
    tips = ((48.0, 42.0), (91.0, 46.0), (124.0, 56.0), (156.0, 73.0), (188.0, 95.0))
    widths = (42.0, 28.0, 27.0, 26.0, 26.0)
    return [
        _shape(f"{name}_toe", f"{name} toe", _segment(base, tip, width, width * 0.92, end=True))
        for name, base, tip, width in zip(_TOES, bases, tips, widths, strict=True)
    ]


def _foot() -> tuple[_Shape, ...]:
    """Return the shapes of a foot whose great toe is on the left of the drawing."""
    top = ((32, 116), (77, 110), (106, 109), (135, 116), (162, 128), (190, 146))
    low = ((48, 208), (76, 206), (98, 206), (120, 208), (142, 212), (166, 218))
    rays = [
        _shape(
            f"{name}_ray",
            f"{name} ray, metatarsal",
            (top[n], top[n + 1], low[n + 1], low[n]),
        )
        for n, name in enumerate(("first", *_TOES[1:]))
    ]
    web = ((70, 100), (86, 100), (91, 114), (80, 130), (67, 114))
    return (
        _shape(
            "heel",
            "",
            ((62, 258), (150, 262), (154, 292), (138, 320), (84, 320), (62, 294)),
        ),
        _shape(
            "midfoot",
            "",
            (low[0], *low[1:], (160, 240), (150, 262), (62, 258), (52, 232)),
            (106, 234),
        ),
        *rays,
        *_toes(),
        _shape("first_web", "first web of the foot", web),
    )


def _path(corners: Sequence[Point], roundness: float = 7.0) -> str:
    """Return a closed curve with rounded corners."""
    parts = []
    for before, here, after in zip(
        (corners[-1], *corners[:-1]), corners, (*corners[1:], corners[0]), strict=True
    ):
        start, end = _towards(here, before, roundness), _towards(here, after, roundness)
        parts.append(f"{_xy(start)}Q{_xy(here)} {_xy(end)}")
    return f"M{'L'.join(parts)}Z"


def _nail(corners: Sequence[Point]) -> str:
    """Return a nail on an end bone, whose last four corners lie around its tip."""
    tip = corners[2:]
    x, y = sum(at for at, _ in tip) / 4, sum(at for _, at in tip) / 4
    return _path([(x + (px - x) * 0.68, y + (py - y) * 0.85) for px, py in tip], 4.0)


def _towards(here: Point, there: Point, way: float) -> Point:
    length = hypot(there[0] - here[0], there[1] - here[1])
    share = min(way / length, 0.5) if length else 0.0
    return here[0] + (there[0] - here[0]) * share, here[1] + (there[1] - here[1]) * share


def _xy(point: Point) -> str:
    return f"{point[0]:.1f} {point[1]:.1f}"


def _mirrored(points: Iterable[Point]) -> tuple[Point, ...]:
    return tuple((CELL_WIDTH - x, y) for x, y in points)


def _view(side: str, part: str, face: str, words: str) -> View:
    """Return a view, turned so that the first digit lies where the eye meets it."""
    own_names = {
        ("palm", "palm"): "palm near the wrist",
        ("back", "palm"): "back of the hand near the wrist",
        ("palm", "forearm"): "forearm",
        ("back", "forearm"): "forearm",
        ("sole", "heel"): "heel",
        ("top", "heel"): "ankle",
        ("sole", "midfoot"): "arch of the foot",
        ("top", "midfoot"): "back of the foot",
    }
    name, seen = f"{side}_{part}_{face}", f"{side} {part}, {words}"
    first_digit_is_left = (side == _LEFT) == (face in {"palm", "sole"})
    has_nails = face in {"back", "top"}
    regions = []
    for shape in _hand() if part == "hand" else _foot():
        corners, centre = shape.corners, shape.centre
        if not first_digit_is_left:
            corners, (centre,) = _mirrored(corners), _mirrored((centre,))
        regions.append(
            Region(
                name=f"{name}.{shape.name}",
                words=f"{seen}: {shape.words or own_names[face, shape.name]}",
                path=_path(corners, 24.0 if shape.name == "heel" else 7.0),
                centre=centre,
                nail=_nail(corners) if has_nails and shape.name.endswith(_NAILED) else "",
            )
        )
    return View(name=name, words=seen, regions=tuple(regions))


VIEWS: tuple[View, ...] = tuple(
    _view(side, part, face, words)
    for part, face, words in (
        ("hand", "palm", "palm side"),
        ("hand", "back", "back"),
        ("foot", "sole", "sole"),
        ("foot", "top", "top"),
    )
    for side in (_LEFT, _RIGHT)
)
"""Left beside right; palms and backs of the hands, then soles and tops of the feet."""
