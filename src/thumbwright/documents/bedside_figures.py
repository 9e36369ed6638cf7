"""Two drawings of our own for the bedside: a foot and a hand seen from the back, with incisions.

Sizes follow the films where there are some; what was not measured stands in adult proportions,
and the text equivalent says so. Both are drawn for the LEFT and mirrored for the right.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.sources import Basis, Provenance, Published
from thumbwright.core.radiograph.landmarks import Point
from thumbwright.core.techniques.technique import Toe
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, PAPER, number, svg, tag, text_lines

FIRST_METATARSAL = Published(
    value=53.3,
    unit="mm",
    basis=Basis(
        provenance=Provenance.DERIVED,
        source="patil-2017",
        locator="abstract, middle of the means of men (56.4) and women (50.1)",
    ),
)
"""Where no foot was measured."""
_SIZE = 4.2
"""Letters. [mm]"""
_SKIN = "#f7f3ec"


@dataclass(frozen=True, slots=True, kw_only=True)
class FootSize:
    """The two inner rays of a foot."""

    first_metatarsal_mm: float
    great_toe_mm: float
    second_metatarsal_mm: float
    second_toe_mm: float
    is_measured: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class HandSize:
    """The thumb's ray of the injured hand."""

    stump_mm: float
    wanted_mm: float
    is_measured: bool


USUAL_FOOT = FootSize(
    first_metatarsal_mm=FIRST_METATARSAL.value,
    great_toe_mm=52.0,
    second_metatarsal_mm=66.0,
    second_toe_mm=48.0,
    is_measured=False,
)
USUAL_HAND = HandSize(stump_mm=46.0, wanted_mm=102.0, is_measured=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawn:
    """A drawing with its words and its true size."""

    picture: Picture
    svg: str
    width_mm: float
    """Of what is drawn, before it is made smaller. [mm]"""


class _Sheet:
    """Millimetres of the left side, y upwards, onto a drawing that may be mirrored."""

    def __init__(self, width_mm: float, height_mm: float, *, mirrored: bool) -> None:
        self.width, self.height, self.mirrored = width_mm, height_mm, mirrored
        self.parts: list[str] = []

    def at(self, point: Point) -> str:
        x = self.width - point[0] if self.mirrored else point[0]
        return f"{number(x)} {number(self.height - point[1])}"

    def path(self, points: Sequence[Point], *, closed: bool = False, **look: str | float) -> None:
        """Add straight strokes."""
        line = "M" + "L".join(self.at(point) for point in points) + ("Z" if closed else "")
        drawn = {"fill": "none", "stroke": INK, "stroke_width": 0.5, **look}
        self.parts.append(tag("path", d=line, stroke_linejoin="round", **drawn))

    def body(self, outline: Sequence[Point], digits: Sequence[tuple[Point, Point, float]]) -> None:
        """Add a silhouette: everything in ink first, then everything a little narrower in skin."""
        shape = self._smooth(outline)
        lines = [(f"M{self.at(foot)}L{self.at(tip)}", width) for foot, tip, width in digits]
        for colour, edge in ((INK, 0.55), (_SKIN, 0.0)):
            self.parts.append(
                tag("path", d=shape, fill=colour, stroke=colour, stroke_width=2 * edge)
            )
            self.parts += [
                tag(
                    "path",
                    d=line,
                    fill="none",
                    stroke=colour,
                    stroke_width=width + 2 * edge,
                    stroke_linecap="round",
                )
                for line, width in lines
            ]

    def _smooth(self, outline: Sequence[Point]) -> str:
        """Return a closed curve through the middles of the sides, its corners as handles."""
        around = (*outline, outline[0])
        middles = [((a + c) / 2, (b + d) / 2) for (a, b), (c, d) in pairwise(around)]
        curves = "".join(
            f"Q{self.at(corner)} {self.at(middle)}"
            for corner, middle in zip(outline, middles, strict=True)
        )
        return f"M{self.at(middles[-1])}{curves}Z"

    def cross(self, at: Point, mark: str) -> None:
        """Add a place for the Doppler probe: a ringed cross with its letter."""
        x, y = at
        self.parts.append(
            tag(
                "circle",
                cx=self.width - x if self.mirrored else x,
                cy=self.height - y,
                r=2.6,
                fill=PAPER,
                stroke=INK,
                stroke_width=0.6,
            )
        )
        self.path(((x - 1.6, y), (x + 1.6, y)), stroke_width=0.4)
        self.path(((x, y - 1.6), (x, y + 1.6)), stroke_width=0.4)
        self.words((x + (-4 if self.mirrored else 4), y + 2), mark, bold=True)

    def words(self, at: Point, text: str, *, bold: bool = False) -> None:
        """Add a word that is never mirrored."""
        x = self.width - at[0] if self.mirrored else at[0]
        look = {"font_weight": "bold"} if bold else {}
        self.parts.append(text_lines([text], x, self.height - at[1], _SIZE, fill=INK, **look))

    def scale(self) -> None:
        """Add 50 mm to compare with."""
        y = self.height - 4
        path = f"M6 {number(y)}h50M6 {number(y - 1.5)}v3M56 {number(y - 1.5)}v3"
        self.parts.append(tag("path", d=path, stroke=INK, stroke_width=0.6, fill="none"))
        self.parts.append(text_lines(["50 mm of the body"], 59, y + 1.4, _SIZE, fill=INK))


def foot_figure(size: FootSize, side: Side, toe: Toe, *, wrap: bool) -> Drawn:
    """Draw the donor foot from the back with the incision and the places to listen at.

    Parameters
    ----------
    size
        Rays of the foot.
    side
        The foot.
    toe
        The donor toe.
    wrap
        Whether the great toe gives only its skin, so that a strip stays on it.
    """
    sheet = _Sheet(130, 190, mirrored=side is Side.RIGHT)
    base = 45.0
    mtp = {0: (92.0, base + size.first_metatarsal_mm), 1: (73.0, base + size.second_metatarsal_mm)}
    tips = {
        0: (95.0, mtp[0][1] + size.great_toe_mm - 9),
        1: (73.0, mtp[1][1] + size.second_toe_mm - 6),
    }
    _foot_skin(sheet, mtp, tips, base)
    great, second = mtp[0], mtp[1]
    web = ((great[0] + second[0]) / 2, (great[1] + second[1]) / 2 + 8)
    if toe is Toe.SECOND:
        _triangle_cut(sheet, second)
    else:
        _great_cut(sheet, great, tips[0], wrap=wrap)
    start = (web[0], web[1] - 30)
    course = [start, (84.0, base + 22), (80.0, base + 8), (78.0, base - 14), (76.0, base - 30)]
    sheet.path(course, stroke_width=0.9)
    sheet.path([web, (84.0, base + 28), (81.0, base + 4)], stroke_width=0.6, stroke_dasharray="1 2")
    sheet.cross((81.5, base + 2), "A")
    sheet.cross((83.5, base + 28), "B")
    sheet.cross(web, "C")
    sheet.cross((95.0, base - 14), "D")
    sheet.scale()
    part = "great toe, wrap-around" if wrap else f"{toe.value} toe"
    title = f"{side.value.upper()} foot from the back, incision for the {part}"
    sized = "sizes by film" if size.is_measured else "no film: usual adult sizes"
    alt = (
        f"{title}; {sized}. Listening places: A artery of the back of the foot, B first dorsal "
        "metatarsal artery, C first web, D great saphenous vein. Full line: incision; dots: course "
        "of the artery."
    )
    return _drawn(sheet, "foot", title, alt)


def _foot_skin(sheet: _Sheet, mtp: dict[int, Point], tips: dict[int, Point], base: float) -> None:
    great, second = mtp[0], mtp[1]
    outer = [(57.0, second[1] - 6), (43.0, second[1] - 15), (30.0, second[1] - 27)]
    digits = [
        ((x, y), (x - 2.0 * place, y + 34 - 6 * place), 12.5 - place)
        for place, (x, y) in enumerate(outer)
    ]
    digits += [(second, tips[1], 13.0), (great, tips[0], 20.0)]
    back = [
        (103.0, great[1] + 8),
        (108.0, great[1] - 10),
        (101.0, base + 12),
        (100.0, base - 32),
        (48.0, base - 32),
        (40.0, base + 12),
        (20.0, second[1] - 42),
        (22.0, second[1] - 18),
        (48.0, second[1] + 4),
        (78.0, second[1] + 10),
    ]
    sheet.body(back, digits)


def _triangle_cut(sheet: _Sheet, second: Point) -> None:
    """Add the triangle on the back: 40 mm long, 22.5 mm wide at the web."""
    x, y = second[0], second[1] + 9
    sheet.path(((x - 11.25, y), (x, y - 40), (x + 11.25, y)), stroke_width=0.9)


def _great_cut(sheet: _Sheet, great: Point, tip: Point, *, wrap: bool) -> None:
    x, y = great
    sheet.path(((x - 11, y + 9), (x - 2, y + 2), (x + 10, y + 9)), stroke_width=0.9)
    sheet.path(((x - 2, y + 2), (x - 6, y - 22)), stroke_width=0.9)
    if wrap:
        sheet.path(
            ((x + 6, y + 6), (tip[0] + 6, tip[1] - 2)), stroke_width=0.9, stroke_dasharray="3 1.5"
        )


def hand_figure(size: HandSize, side: Side) -> Drawn:
    """Draw the injured hand from the back with the incision and the places to listen at."""
    sheet = _Sheet(178, 205, mirrored=side is Side.RIGHT)
    wrist = 40.0
    cmc, along = (90.0, wrist + 6), (0.643, 0.766)

    def ray(length_mm: float) -> Point:
        return (cmc[0] + along[0] * length_mm, cmc[1] + along[1] * length_mm)

    fingers = ((40, 92, 66), (58, 98, 78), (76, 97, 72), (93, 92, 62))
    digits: list[tuple[Point, Point, float]] = [
        ((x, y), (x + (place - 1.5) * 3, wrist + 52 + length), 16.0)
        for place, (x, y, length) in enumerate(fingers)
    ]
    digits.append((cmc, ray(max(4.0, size.stump_mm - 6)), 20.0))
    palm = [
        (30.0, 112.0),
        (30.0, 58.0),
        (42.0, 34.0),
        (43.0, 8.0),
        (87.0, 8.0),
        (90.0, 36.0),
        (104.0, 62.0),
        (103.0, 112.0),
    ]
    sheet.body(palm, digits)
    beyond = ray(max(size.wanted_mm - 9, size.stump_mm))
    sheet.path((ray(max(size.stump_mm, 4)), beyond), stroke_dasharray="2 2", stroke_width=0.8)
    sheet.path((ray(max(2.0, size.stump_mm - 14)), ray(size.stump_mm + 3)), stroke_width=0.9)
    sheet.path(((84, wrist + 8), (82, wrist - 6), (76, wrist - 24)), stroke_width=0.9)
    sheet.cross((87.0, wrist), "E")
    sheet.cross((72.0, wrist - 20), "F")
    sheet.cross((52.0, wrist - 22), "G")
    sheet.scale()
    sized = "sizes by film" if size.is_measured else "no film: usual adult sizes"
    title = f"{side.value.upper()} hand from the back, incision at the stump and over the snuff box"
    alt = (
        f"{title}; {sized}. Stump of {size.stump_mm:.0f} mm from the CMC joint; dashes up to the "
        f"wanted length of {size.wanted_mm:.0f} mm. Listening places: E radial artery in the snuff "
        "box, F cephalic vein, G ulnar artery, on the palm side. Full line: incision."
    )
    return _drawn(sheet, "hand", title, alt)


def _drawn(sheet: _Sheet, name: str, title: str, alt: str) -> Drawn:
    made = svg(sheet.width, sheet.height, sheet.parts, title=alt)
    picture = Picture(name=f"own drawing, {name}.svg", alt=alt, caption=f"{title}.")
    return Drawn(picture=picture, svg=made, width_mm=sheet.width)
