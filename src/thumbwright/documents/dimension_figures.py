"""Drawings of the dimensions: the toe's bones with the saw's lines, and previews of patterns.

In millimetres times a factor; nothing is told by colour alone; each has a text equivalent.
"""

from thumbwright.core.dimensions.bone import BoneCut, Wedge
from thumbwright.core.dimensions.parts import SidedPattern
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.radiograph.landmarks import Point
from thumbwright.core.radiograph.lengths import RayLengths
from thumbwright.documents.label_column import Label, placed
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, QUIET, number, svg, tag, text_lines

_PER_MM = 4.6
"""Drawing units for one millimetre of bone. [units/mm]"""
_SIZE = 22.0
"""Letters. [units]"""
_WIDTH = 820.0
_BAR = 60.0
"""Breadth of a drawn bone. [units]"""
_LEFT = 220.0
_LABELS = 330.0
"""Where the labels begin. [units]"""
_GAP_MM = 1.0
_BONE, _KERF, _DOUBT = "#f4f2ec", "#444444", "#f3d9a0"


def bone_picture(toe: RayLengths, cut: BoneCut) -> Picture:
    """Say what the drawing of the cuts shows."""
    bones = ", ".join(f"{bone.name} {bone.length.value:.1f} mm" for bone in toe.bones)
    return Picture(
        name="own drawing, cuts.svg",
        alt=(
            f"{toe.side.value.upper()} {toe.ray.name.value} from body to tip: {bones}. Edge of the "
            f"piece {_level(cut.on_toe.value, cut.joint)}; saw's slot up to "
            f"{_level(cut.far_edge.value, cut.joint)}; first cut "
            f"{_level(cut.first_cut.value, cut.joint)}."
        ),
        caption=(
            "Toe to scale, its tip at the top. Thick line: edge of the piece, in its 95 % band; "
            "dark strip: the saw's slot; dashes: first cut, left long; dots: joint line; dash and "
            "dot: the oblique cut, its sole to the left."
        ),
    )


def _level(value: float, joint: str) -> str:
    side = "proximal" if value > 0 else "distal"
    return f"{abs(value):.1f} mm {side} to the {joint}"


def bone_drawing(
    toe: RayLengths, cut: BoneCut, oblique: Wedge | Unknown, *, title: str
) -> str | Unknown:
    """Draw a toe's bones with joint line, edge of the piece, the saw's slot and the first cut.

    Parameters
    ----------
    toe
        Bones from body to tip.
    cut
        Levels of the saw.
    oblique
        The tilted cut, if there is one; drawn as a second, slanting line.
    title
        What the drawing shows, for those who cannot see it.

    Returns
    -------
    str | Unknown
        Unknown where the bone beyond the joint of the cut was not measured.
    """
    spans = _spans(toe)
    joint = next((low for bone, low, _ in spans if bone == _beyond(toe, cut.joint)), None)
    if joint is None:
        return Unknown(reason="the bone beyond the joint of the cut was not measured")
    top = max(high for _, _, high in spans)
    foot = min(0.0, joint - cut.first_cut.value - 4)
    frame = _Frame(top_mm=top)
    bones = [_bone(name, low, high, frame) for name, low, high in spans]
    lines = [
        *_edge(cut, joint, frame),
        _dashed(joint - cut.first_cut.value, frame, "14 8"),
        _dashed(joint, frame, "3 6"),
        _slant(joint, oblique, frame),
    ]
    labels = _labelled(cut, joint, oblique, frame)
    height = max(frame.y(foot) + 2 * _SIZE, *(label.bottom + _SIZE for label in labels))
    body = (*bones, *lines, *(_led(label) for label in labels), _scale(frame, foot))
    return svg(_WIDTH, height, body, title=title)


class _Frame:
    """Height over the body's end of the toe, as a place in the drawing."""

    def __init__(self, *, top_mm: float) -> None:
        self.top_mm = top_mm

    def y(self, height_mm: float) -> float:
        """Return the drawing's row for a height [units]."""
        return 2 * _SIZE + (self.top_mm - height_mm) * _PER_MM


def _spans(toe: RayLengths) -> list[tuple[str, float, float]]:
    spans, at = [], 0.0
    for bone in toe.bones:
        spans.append((bone.name, at, at + bone.length.value))
        at += bone.length.value + _GAP_MM
    return spans


def _beyond(toe: RayLengths, joint: str) -> str:
    """Return the bone beyond a joint."""
    return toe.ray.bones[toe.ray.joints.index(joint)].name


def _bone(name: str, low: float, high: float, frame: _Frame) -> str:
    foot, head, right = frame.y(low), frame.y(high), _LEFT + _BAR
    inner, outer = _LEFT + 0.2 * _BAR, right - 0.2 * _BAR
    third = (foot - head) / 3
    path = (
        f"M{number(_LEFT)} {number(foot)}C{number(inner)} {number(foot - third)} {number(inner)} "
        f"{number(head + third)} {number(_LEFT)} {number(head)}H{number(right)}C{number(outer)} "
        f"{number(head + third)} {number(outer)} {number(foot - third)} {number(right)} "
        f"{number(foot)}Z"
    )
    words = text_lines(
        [name],
        _LEFT - 36,
        (foot + head) / 2 + 0.3 * _SIZE,
        0.85 * _SIZE,
        fill=QUIET,
        text_anchor="end",
    )
    return tag("path", d=path, fill=_BONE, stroke=INK, stroke_width=1.8) + words


def _edge(cut: BoneCut, joint: float, frame: _Frame) -> list[str]:
    within = cut.on_toe.interval()
    band = _strip(joint - within.high, joint - within.low, frame, _DOUBT, 0.75)
    slot = _strip(joint - cut.far_edge.value, joint - cut.on_toe.value, frame, _KERF, 1.0)
    return [band, slot, _line(joint - cut.on_toe.value, frame, width=4.0)]


def _strip(low: float, high: float, frame: _Frame, fill: str, opacity: float) -> str:
    return tag(
        "rect",
        x=_LEFT - 16,
        y=frame.y(high),
        width=_BAR + 32,
        height=max(0.5, frame.y(low) - frame.y(high)),
        fill=fill,
        fill_opacity=opacity,
    )


def _line(height: float, frame: _Frame, *, width: float, dash: str = "") -> str:
    y = number(frame.y(height))
    pattern = {"stroke_dasharray": dash} if dash else {}
    path = f"M{number(_LEFT - 24)} {y}H{number(_LEFT + _BAR + 24)}"
    return tag("path", d=path, stroke=INK, stroke_width=width, fill="none", **pattern)


def _dashed(height: float, frame: _Frame, dash: str) -> str:
    return _line(height, frame, width=2.2, dash=dash)


def _slant(joint: float, oblique: Wedge | Unknown, frame: _Frame) -> str:
    if isinstance(oblique, Unknown):
        return ""
    back, sole = joint - oblique.on_back.value, joint - oblique.on_sole.value
    path = (
        f"M{number(_LEFT)} {number(frame.y(sole))}L{number(_LEFT + _BAR)} {number(frame.y(back))}"
    )
    return tag("path", d=path, stroke=INK, stroke_width=2.6, stroke_dasharray="22 6 4 6")


def _labelled(cut: BoneCut, joint: float, oblique: Wedge | Unknown, frame: _Frame) -> list[Label]:
    edge = _LEFT + _BAR + 24
    first = (
        f"first cut, left long by {cut.left_long_mm:.1f} mm: "
        f"{_level(cut.first_cut.value, cut.joint)}"
    )
    texts = [
        (f"line of the {cut.joint}", joint),
        (f"edge of the piece: {_level(cut.on_toe.value, cut.joint)}", joint - cut.on_toe.value),
        (first, joint - cut.first_cut.value),
    ]
    if isinstance(oblique, Wedge):
        tilt = (
            f"oblique cut of {oblique.angle_deg:g} degrees: on the back "
            f"{_level(oblique.on_back.value, cut.joint)}"
        )
        texts.append((tilt, joint - oblique.on_back.value))
    labels = [Label(text=text, anchor=(edge, frame.y(at))) for text, at in texts]
    return placed(
        labels, width=_WIDTH - _LABELS - 30, size=_SIZE, top=_SIZE, bottom=frame.y(0) + _SIZE
    )


def _led(label: Label) -> str:
    x, y = label.anchor
    knee = _LABELS + 20
    path = f"M{number(x)} {number(y)}L{number(knee)} {number(label.middle)}h8"
    lead = tag("path", d=path, stroke=QUIET, stroke_width=1.2, fill="none")
    return lead + text_lines(label.lines, knee + 12, label.first_line, _SIZE, fill=INK)


def _scale(frame: _Frame, foot: float) -> str:
    y, right = frame.y(foot) + _SIZE, _LEFT + 10 * _PER_MM
    ticks = "".join(f"M{number(x)} {number(y - 6)}v12" for x in (_LEFT, right))
    path = f"M{number(_LEFT)} {number(y)}H{number(right)}{ticks}"
    words = text_lines(["10 mm"], right + 10, y + 6, 0.85 * _SIZE, fill=INK)
    return tag("path", d=path, stroke=INK, stroke_width=2, fill="none") + words


def pattern_picture(sided: SidedPattern) -> Picture:
    """Say what the preview of a pattern shows."""
    pattern = sided.pattern
    turned = "mirrored for the right side" if pattern.is_mirrored else "as for the left side"
    return Picture(
        name=f"own drawing, {pattern.name}.svg",
        alt=(
            f"{pattern.name} for the {sided.words}, {turned}, {pattern.up} upwards, skin side up; "
            f"{pattern.width_mm:.1f} mm wide and {pattern.height_mm:.1f} mm high."
        ),
        caption=(
            f"{pattern.name}, {sided.words}: {pattern.width_mm:.0f} by {pattern.height_mm:.0f} mm. "
            "A preview; only the sheet of patterns is of true size."
        ),
    )


def pattern_drawing(sided: SidedPattern, *, title: str) -> str:
    """Draw a preview of a pattern with its seam, its levels and a scale."""
    pattern = sided.pattern
    factor = 380.0 / max(pattern.width_mm, pattern.height_mm)
    left = min(x for x, _ in pattern.outline)
    top = max(y for _, y in pattern.outline)
    edge = 40.0

    def at(corner: Point) -> str:
        x, y = (corner[0] - left) * factor + edge, (top - corner[1]) * factor + 3 * _SIZE
        return f"{number(x)} {number(y)}"

    outline = "M" + "L".join(at(corner) for corner in pattern.outline) + "Z"
    seams = "".join(
        f"M{at(line.start)}L{at(line.end)}" for line in pattern.lines if not line.is_cut
    )
    cuts = "".join(f"M{at(line.start)}L{at(line.end)}" for line in pattern.lines if line.is_cut)
    edge_dash = {} if pattern.outline_is_cut else {"stroke_dasharray": "2 7"}
    height = pattern.height_mm * factor + 3 * _SIZE
    bar = 20 * factor
    body = (
        text_lines([sided.words], edge, _SIZE, _SIZE, font_weight="bold", fill=INK),
        text_lines([f"{pattern.up} ↑"], edge, 2.3 * _SIZE, 0.85 * _SIZE, fill=QUIET),
        tag("path", d=outline, fill=_BONE, stroke=INK, stroke_width=2.5, **edge_dash),
        tag("path", d=cuts or "M0 0", stroke=INK, stroke_width=3.5),
        tag("path", d=seams or "M0 0", stroke=INK, stroke_width=1.8, stroke_dasharray="9 6"),
        tag(
            "path",
            d=f"M{number(edge)} {number(height + _SIZE)}h{number(bar)}",
            stroke=INK,
            stroke_width=3,
        ),
        text_lines(["20 mm"], edge + bar + 10, height + 1.35 * _SIZE, _SIZE, fill=INK),
    )
    return svg(pattern.width_mm * factor + 2 * edge + 90, height + 2 * _SIZE, body, title=title)
