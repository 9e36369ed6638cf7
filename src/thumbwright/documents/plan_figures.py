"""Two small drawings of the plan: the bones to one scale, and how probable each level is."""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.documents.measured_rows import ScaleBone, ScaleColumn
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.plan_content import LevelShare
from thumbwright.documents.svg import INK, PAPER, QUIET, number, svg, tag, text_lines, wrapped

_WIDTH = 1000.0
_SIZE = 18.0
"""Letters: 9 point where the drawing is printed 174 mm wide, as both of these are. [units]"""
_SMALL = 16.0
_AXIS = 58.0
_PER_MM = 4.2
"""Drawing units for one millimetre of bone. [units/mm]"""
_BAND = "#f3d9a0"
_BONE = "#f4f2ec"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    """Sizes of the drawing to scale, in its units."""

    base: float
    """Height of the common base line, from above."""
    step: float
    """From one row of bones to the next."""
    bar: float
    """Breadth of a bone."""
    indent: float
    """Room for the word at the cut, left of the bones."""
    size: float
    """Of the letters."""


def scale_picture(columns: Sequence[ScaleColumn]) -> Picture:
    """Say what the drawing to scale shows."""
    described = "; ".join(_described(column) for column in columns)
    return Picture(
        name="own drawing, to scale.svg",
        alt=f"Bones drawn to one scale, from body to tip. {described}.",
        caption=(
            "Bones to one scale. Dashed outline: the missing stretch, its two ends carried across "
            "as dotted lines. Dash and dot: the cut, in its 95 % band."
        ),
    )


def level_picture(shares: Sequence[LevelShare]) -> Picture:
    """Say what the bars of the levels show."""
    described = "; ".join(f"{share.level}: {share.prob.words}" for share in shares)
    return Picture(
        name="own drawing, levels.svg",
        alt=f"Probability of each level of loss. {described}.",
        caption="Probability of each level, given the doubt in length. " + described + ".",
    )


def scale_drawing(columns: Sequence[ScaleColumn], *, title: str) -> str:
    """Draw stump, other thumb and toes side by side to one scale, bases down.

    Parameters
    ----------
    columns
        At least one row of bones from body to tip. [mm]
    title
        What the drawing shows, for those who cannot see it.
    """
    highest = max(_top_mm(column) for column in columns)
    lowest = min(0.0, *(column.offset_mm for column in columns))
    many = len(columns) > 3
    frame = _Frame(
        base=3.2 * _SIZE + highest * _PER_MM,
        step=(_WIDTH - _AXIS) / len(columns),
        bar=34.0 if many else 50.0,
        indent=34.0 if many else 44.0,
        size=14.0 if many else 16.0,
    )
    drawn = [
        _column(column, _AXIS + place * frame.step, frame) for place, column in enumerate(columns)
    ]
    body = (_axis(frame.base, highest), _guides(columns, frame.base), *drawn)
    return svg(_WIDTH, frame.base - lowest * _PER_MM + 10, body, title=title)


def level_bars(shares: Sequence[LevelShare], *, title: str) -> str:
    """Draw a bar for each level; the outline is the whole, the filled part the probability."""
    row, left, length = 1.7 * _SIZE, 500.0, 380.0
    body = []
    for place, share in enumerate(shares):
        y = place * row + 3
        filled = max(0.0, min(1.0, share.prob.value)) * length
        body += [
            text_lines(wrapped(share.level, left - 14, _SIZE, most_lines=1), 0, y + 15, _SIZE),
            tag("rect", x=left, y=y, width=length, height=_SIZE, fill=PAPER, stroke=QUIET),
            tag("rect", x=left, y=y, width=filled, height=_SIZE, fill="#33526b"),
            text_lines([share.prob.words], left + length + 14, y + 15, _SIZE),
        ]
    return svg(_WIDTH, len(shares) * row + 3, body, title=title)


def _described(column: ScaleColumn) -> str:
    bones = ", ".join(
        f"{'missing ' if bone.missing else ''}{bone.name} {bone.length_mm:.1f} mm"
        for bone in column.bones
        if bone.label
    )
    cut = "" if column.cut_mm is None else f"; cut at {column.cut_mm:.1f} mm over the base line"
    return f"{column.title}: {bones}{cut}"


def _top_mm(column: ScaleColumn) -> float:
    return column.offset_mm + sum(bone.length_mm for bone in column.bones)


def _axis(base: float, highest: float) -> str:
    marks = [
        _stroke(f"M{number(_AXIS - 14)} {number(base - mm * _PER_MM)}h8", 1.4)
        + text_lines(
            [str(mm)], _AXIS - 20, base - mm * _PER_MM + 6, _SMALL, fill=QUIET, text_anchor="end"
        )
        for mm in range(0, int(highest) + 1, 10)
    ]
    stem = _stroke(f"M{number(_AXIS - 6)} {number(base)}V{number(base - highest * _PER_MM)}", 1.4)
    unit = text_lines(["mm"], _AXIS - 20, _SIZE, _SMALL, fill=QUIET, text_anchor="end")
    return "".join(marks) + stem + unit


def _guides(columns: Sequence[ScaleColumn], base: float) -> str:
    """Carry both ends of the missing stretch across all columns, so that they compare."""
    heights = []
    for column in columns:
        at = column.offset_mm
        for bone in column.bones:
            heights += [at, at + bone.length_mm] if bone.missing else []
            at += bone.length_mm
    return "".join(
        _stroke(f"M{number(_AXIS)} {number(base - mm * _PER_MM)}H{number(_WIDTH)}", 1.2, dash="2 5")
        for mm in heights
    )


def _column(column: ScaleColumn, left: float, frame: _Frame) -> str:
    heading = wrapped(column.title, frame.step - 10, _SIZE, most_lines=2)
    size = min(_SIZE, frame.size + 1)
    parts = [text_lines(heading, left + 8, _SIZE, size, font_weight="bold")]
    at = column.offset_mm
    for bone in column.bones:
        # What has no label is the space of a joint and is left open.
        if bone.label:
            parts.append(_bone(bone, left + frame.indent, frame.base - at * _PER_MM, frame))
        at += bone.length_mm
    return "".join(parts) + _cut(column, left + frame.indent, frame)


def _bone(bone: ScaleBone, left: float, foot: float, frame: _Frame) -> str:
    height = bone.length_mm * _PER_MM
    outline = _outline(left, foot, height, frame.bar)
    shape = tag("path", d=outline, fill=_BONE, stroke=INK, stroke_width=1.8)
    if bone.missing:
        shape = _stroke(outline, 1.6, dash="6 5", colour=INK)
    lines = _bone_words(bone, height, frame)
    first = foot - height / 2 - (len(lines) - 1) * 0.61 * frame.size + 0.35 * frame.size
    return shape + text_lines(lines, left + frame.bar + 7, first, frame.size)


def _bone_words(bone: ScaleBone, height: float, frame: _Frame) -> list[str]:
    """Return name and length in as many lines as the bone is high, so that none is covered."""
    room = frame.step - frame.indent - frame.bar - 8
    fitting = int(height / (1.2 * frame.size))
    length = f"{bone.length_mm:.1f} mm"
    if fitting < 2:
        return wrapped(f"{length} {bone.label}", room, frame.size, most_lines=1)
    return [*wrapped(bone.label, room, frame.size, most_lines=min(2, fitting - 1)), length]


def _outline(left: float, foot: float, height: float, bar: float) -> str:
    """Return the outline of a bone: broad ends, slender middle."""
    gap = min(2.0, 0.1 * height)
    low, high, right = foot - gap, foot - height + gap, left + bar
    down, up = number(low - (low - high) / 3), number(high + (low - high) / 3)
    inner, outer = number(left + 0.2 * bar), number(right - 0.2 * bar)
    return (
        f"M{number(left)} {number(low)}C{inner} {down} {inner} {up} {number(left)} {number(high)}"
        f"H{number(right)}C{outer} {up} {outer} {down} {number(right)} {number(low)}Z"
    )


def _cut(column: ScaleColumn, left: float, frame: _Frame) -> str:
    if column.cut_mm is None:
        return ""
    y, band = frame.base - column.cut_mm * _PER_MM, ""
    if column.cut_low_mm is not None and column.cut_high_mm is not None:
        band = tag(
            "rect",
            x=left - 3,
            y=frame.base - column.cut_high_mm * _PER_MM,
            width=frame.bar + 6,
            height=(column.cut_high_mm - column.cut_low_mm) * _PER_MM,
            fill=_BAND,
            fill_opacity=0.75,
            stroke=INK,
            stroke_width=0.7,
        )
    path = f"M{number(left - 7)} {number(y)}H{number(left + frame.bar + 7)}"
    words = text_lines(
        ["cut"], left - 9, y + 5, frame.size - 1, font_weight="bold", text_anchor="end"
    )
    return band + _stroke(path, 3, dash="14 4 3 4", colour=INK) + words


def _stroke(path: str, width: float, *, dash: str = "", colour: str = QUIET) -> str:
    pattern = {"stroke_dasharray": dash} if dash else {}
    return tag("path", d=path, fill="none", stroke=colour, stroke_width=width, **pattern)
