"""A film with what was found drawn on it, as SVG.

Strokes are double, dark under light, so that they show on bone and on background; kinds of
line differ by dash and thickness, not by colour alone. Labels stand in white beside the film,
led to their marks, so that no word covers bone. The side stands over the film in words.
"""

from base64 import b64encode
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import pairwise
from math import hypot

from thumbwright.core.radiograph.landmarks import Point
from thumbwright.documents.film_picture import Window
from thumbwright.documents.label_column import Label, placed
from thumbwright.documents.svg import INK, QUIET, number, svg, tag, text_lines

WIDTH = 1000.0
"""Of every film drawing. [drawing units]"""
SIZE = 33.0
"""Letters: 7 point where the drawing is printed 80 mm wide. [drawing units]"""
FILM_WIDTH, FILM_HEIGHT = 600.0, 1000.0
"""Largest film inside the drawing; the rest of the width is for labels. [drawing units]"""
TOP = 52.0
"""Height of the line of words over the film. [drawing units]"""
GAP = 44.0
"""From the film to its labels. [drawing units]"""
DARK, LIGHT = "#101010", "#ffffff"


class Role(Enum):
    """What a line stands for."""

    BONE_AXIS = "bone axis"
    JOINT_LINE = "joint line"
    CUT_LINE = "cut line"


@dataclass(frozen=True, slots=True, kw_only=True)
class LineMark:
    """A line on the film, in the film's pixels."""

    start: Point
    end: Point
    role: Role
    label: str = ""
    doubt_px: float = 0.0
    """Half width of the band of doubt on both sides; 0 draws none. [px]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PointMark:
    """A named point on the film."""

    at: Point
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class CircleMark:
    """The outline of a marker on the film."""

    centre: Point
    radius_px: float
    label: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaleBar:
    """A length to compare with, drawn under the film."""

    length_mm: float
    mm_per_px: float


Mark = LineMark | PointMark | CircleMark | ScaleBar


@dataclass(frozen=True, slots=True, kw_only=True)
class _Plate:
    """Where the window of the film lies in the drawing."""

    window: Window
    scale: float

    @property
    def width(self) -> float:
        return self.window.width * self.scale

    @property
    def height(self) -> float:
        return self.window.height * self.scale

    def place(self, point: Point) -> Point:
        """Return where a pixel's middle lies; the window's corner is half a pixel before it."""
        return (
            (point[0] - self.window.left + 0.5) * self.scale,
            (point[1] - self.window.top + 0.5) * self.scale + TOP,
        )


def film_drawing(
    window: Window, marks: Sequence[Mark], *, side: str, jpeg: bytes = b"", title: str = ""
) -> str:
    """Draw on a film.

    Parameters
    ----------
    window
        The part of the film that is shown. [px]
    marks
        What is drawn on it, in pixels of the whole film.
    side
        Side and part in words: "LEFT foot".
    jpeg
        The window's picture, of any size but of the window's shape; without it the film is
        left white.
    title
        What the drawing shows, for those who cannot see it.

    Returns
    -------
    str
        An SVG document that needs nothing else.
    """
    plate = _Plate(window=window, scale=min(FILM_WIDTH / window.width, FILM_HEIGHT / window.height))
    labels = placed(
        [_label(plate, mark) for mark in marks if not isinstance(mark, ScaleBar) and mark.label],
        width=WIDTH - plate.width - GAP,
        size=SIZE,
        top=TOP,
        bottom=TOP + plate.height,
    )
    bars = [mark for mark in marks if isinstance(mark, ScaleBar)]
    foot = max(
        [TOP + plate.height + (2.4 * SIZE if bars else 0.3 * SIZE)]
        + [label.bottom for label in labels]
    )
    body = (
        text_lines([side], 0, 0.95 * SIZE, SIZE, font_weight="bold", fill=INK),
        _film(plate, jpeg),
        tag("g", "".join(_mark(plate, mark) for mark in marks), clip_path="url(#film)"),
        *(_led(plate, label) for label in labels),
        *(_bar(plate, bar) for bar in bars),
    )
    return svg(WIDTH, foot, body, title=title or side)


def _film(plate: _Plate, jpeg: bytes) -> str:
    frame = {"x": 0.0, "y": TOP, "width": plate.width, "height": plate.height}
    clip = tag("defs", tag("clipPath", tag("rect", **frame), id="film"))
    picture = ""
    if jpeg:
        data = "data:image/jpeg;base64," + b64encode(jpeg).decode("ascii")
        picture = tag("image", **frame, href=data, preserveAspectRatio="none")
    return clip + picture + tag("rect", **frame, fill="none", stroke=QUIET, stroke_width=1.5)


def _mark(plate: _Plate, mark: Mark) -> str:
    if isinstance(mark, LineMark):
        return _line(plate, mark)
    if isinstance(mark, PointMark):
        return _cross(plate.place(mark.at))
    if isinstance(mark, CircleMark):
        return _circle(plate, mark)
    return ""


_DASHES = {Role.BONE_AXIS: "", Role.JOINT_LINE: "10 9", Role.CUT_LINE: "34 9 7 9"}
_WEIGHTS = {Role.BONE_AXIS: 3.0, Role.JOINT_LINE: 4.0, Role.CUT_LINE: 6.0}
_LIGHTS = {Role.BONE_AXIS: LIGHT, Role.JOINT_LINE: "#b9e0f7", Role.CUT_LINE: "#ffb000"}


def _line(plate: _Plate, mark: LineMark) -> str:
    start, end = plate.place(mark.start), plate.place(mark.end)
    weight, light = _WEIGHTS[mark.role], _LIGHTS[mark.role]
    path = f"M{_pair(start)}L{_pair(end)}"
    ends = "".join(
        tag("circle", cx=x, cy=y, r=6.5, fill=light, stroke=DARK, stroke_width=2.5)
        for x, y in (start, end)
        if mark.role is not Role.JOINT_LINE
    )
    return _band(plate, mark) + _double(path, weight, light, _DASHES[mark.role]) + ends


def _double(path: str, weight: float, light: str, dash: str = "", *, halo: float = 4.5) -> str:
    pattern = {"stroke_dasharray": dash} if dash else {}
    dark = tag("path", d=path, fill="none", stroke=DARK, stroke_width=weight + halo)
    return dark + tag("path", d=path, fill="none", stroke=light, stroke_width=weight, **pattern)


def _band(plate: _Plate, mark: LineMark) -> str:
    start, end = plate.place(mark.start), plate.place(mark.end)
    length = hypot(end[0] - start[0], end[1] - start[1])
    if mark.doubt_px <= 0 or length == 0:
        return ""
    half = mark.doubt_px * plate.scale / length
    across = (-(end[1] - start[1]) * half, (end[0] - start[0]) * half)
    corners = [
        (start[0] + across[0], start[1] + across[1]),
        (end[0] + across[0], end[1] + across[1]),
        (end[0] - across[0], end[1] - across[1]),
        (start[0] - across[0], start[1] - across[1]),
    ]
    path = "M" + "L".join(_pair(corner) for corner in corners) + "Z"
    light = _LIGHTS[mark.role]
    fill = tag("path", d=path, fill=light, fill_opacity=0.28, stroke=DARK, stroke_width=3)
    return fill + tag("path", d=path, fill="none", stroke=light, stroke_width=1.2)


def _cross(at: Point) -> str:
    x, y = at
    path = f"M{_pair((x - 11, y))}L{_pair((x + 11, y))}M{_pair((x, y - 11))}L{_pair((x, y + 11))}"
    return _double(path, 2.2, LIGHT)


def _circle(plate: _Plate, mark: CircleMark) -> str:
    x, y = plate.place(mark.centre)
    round_it = {"cx": x, "cy": y, "r": mark.radius_px * plate.scale}
    dark = tag("circle", **round_it, fill="none", stroke=DARK, stroke_width=7)
    return dark + tag(
        "circle", **round_it, fill="none", stroke=LIGHT, stroke_width=2.6, stroke_dasharray="4 7"
    )


def _label(plate: _Plate, mark: LineMark | PointMark | CircleMark) -> Label:
    """Tie the label to the part of the mark that is nearest to the labels."""
    if isinstance(mark, LineMark):
        anchor = max(plate.place(mark.start), plate.place(mark.end))
        if mark.role is Role.BONE_AXIS:
            (x, y), (u, v) = plate.place(mark.start), plate.place(mark.end)
            anchor = ((x + u) / 2, (y + v) / 2)
    elif isinstance(mark, CircleMark):
        x, y = plate.place(mark.centre)
        anchor = (x + mark.radius_px * plate.scale, y)
    else:
        anchor = plate.place(mark.at)
    held = min(max(anchor[0], 0.0), plate.width), min(max(anchor[1], TOP), TOP + plate.height)
    return Label(text=mark.label, anchor=held)


def _led(plate: _Plate, label: Label) -> str:
    edge, knee = plate.width, plate.width + 0.4 * GAP
    stops = [label.anchor, (edge, label.middle), (knee, label.middle)]
    over = "".join(
        _double(f"M{_pair(a)}L{_pair(b)}", 1.4, LIGHT, "3 4", halo=1.2)
        for a, b in pairwise(stops[:2])
    )
    beside = tag("path", d=f"M{_pair(stops[1])}L{_pair(stops[2])}", stroke=INK, stroke_width=2)
    words = text_lines(label.lines, edge + GAP * 0.6, label.first_line, SIZE, fill=INK)
    return over + beside + words


def _bar(plate: _Plate, bar: ScaleBar) -> str:
    length = bar.length_mm / bar.mm_per_px * plate.scale
    y = TOP + plate.height + 0.55 * SIZE
    ticks = f"M1 {number(y - 9)}V{number(y + 9)}M1 {number(y)}H{number(length)}"
    path = f"{ticks}M{number(length)} {number(y - 9)}V{number(y + 9)}"
    words = f"{number(bar.length_mm)} mm at the bones"
    return tag("path", d=path, fill="none", stroke=INK, stroke_width=3) + text_lines(
        [words], 0, y + 1.35 * SIZE, SIZE, fill=INK
    )


def _pair(point: Point) -> str:
    return f"{number(point[0])} {number(point[1])}"
