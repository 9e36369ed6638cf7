"""Three drawings of reach: a pinch to scale, the ground the thumb covers, reach against length."""

from collections.abc import Sequence
from enum import Enum

import numpy as np

from thumbwright.core.case.examined import Side
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.reach.results import Curve, Pinch, Posture, Reach
from thumbwright.core.reach.skeleton import Digit
from thumbwright.core.reach.workspace import Place, PosedHand, outline, posed_hand, tip_cloud
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, PAPER, QUIET, number, svg, tag, text_lines

_WIDTH = 1000.0
_SIZE = 26.0
_PER_MM = 4.2
_MARGIN = 40.0
_TOP = 2.4 * _SIZE
_FLESH_MM = 15.0
_THUMB_FLESH_MM = 18.0


class View(Enum):
    """From where a hand is looked at."""

    PALM = "seen from the palm"
    THUMB_SIDE = "seen from the thumb's side"


def pinch_drawing(reach: Reach, pinch: Pinch, side: Side, view: View) -> str | Unknown:
    """Draw a hand to scale in the posture of a pinch.

    Parameters
    ----------
    reach
        The thumb and its hand.
    pinch
        The pinch.
    side
        Which hand.
    view
        From where it is seen; fingers up.
    """
    if isinstance(pinch.posture, Unknown):
        return pinch.posture
    hand = posed_hand(reach.thumb, reach.hand, pinch, pinch.posture)
    flat = {name: _flat(points, side, view) for name, points in _digits(hand).items()}
    (left, top), size = _frame([at for points in flat.values() for at in points])
    placed = {name: _moved(points, left, top) for name, points in flat.items()}
    wrist = _moved(_flat((hand.wrist,), side, view), left, top)[0]
    order = sorted(placed, key=lambda name: name == "thumb")
    body = [
        text_lines([f"{side.value.upper()} hand, {view.value}"], 0, _SIZE, _SIZE, fill=INK),
        _palm(placed, wrist),
        *(_digit(placed[name], is_thumb=name == "thumb") for name in order),
        _bar(size[1]),
    ]
    return svg(size[0], size[1] + 2.6 * _SIZE, body, title=_pinch_words(reach, pinch, side, view))


def pinch_picture(reach: Reach, pinch: Pinch, side: Side, view: View) -> Picture:
    """Say what the drawing of a pinch shows."""
    words = _pinch_words(reach, pinch, side, view)
    name = f"own drawing, reach {reach.key or 'whole'} {pinch.kind.value} {pinch.digit.value}.svg"
    return Picture(name=name, alt=words, caption=words)


def _pinch_words(reach: Reach, pinch: Pinch, side: Side, view: View) -> str:
    start = (
        f"{side.value.upper()} hand {view.value}, fingers up: {pinch.kind.value} of the thumb and "
        f"the {pinch.digit.value} finger, possible in {100 * pinch.reached.prob:.0f} % of "
        f"{reach.draws} draws."
    )
    if not isinstance(pinch.posture, Posture):
        return start
    flexion, abduction, mcp, ip, _ = pinch.posture.thumb_deg
    return (
        f"{start} Middle posture: CMC joint {_whole(flexion)}° of flexion and "
        f"{_whole(abduction)}° of abduction against the trapezium, MCP joint {_whole(mcp)}°, IP "
        f"joint {_whole(ip)}°. Joints as "
        "circles, bones as lines, skin as an outline of one breadth; drawn to scale."
    )


def _whole(angle_deg: float) -> str:
    """Write an angle in whole degrees, with a true minus sign and no minus nought."""
    return f"{round(angle_deg)}".replace("-", "−")


def _digits(hand: PosedHand) -> dict[str, tuple[Place, ...]]:
    return {**{digit.value: at for digit, at in hand.fingers.items()}, "thumb": hand.thumb}


def _flat(points: Sequence[Place], side: Side, view: View) -> list[tuple[float, float]]:
    """Project places onto the paper: a left hand is the mirror image of a right one.

    Notes
    -----
    Fingers up, a right thumb lies to the right of its palm; and a right palm lies to the left of
    who looks at the thumb's side.
    """
    hand = 1.0 if side is Side.RIGHT else -1.0
    across, turn = (2, hand) if view is View.PALM else (1, -hand)
    return [(turn * at[across] * _PER_MM, -at[0] * _PER_MM) for at in points]


Flat = tuple[float, float]


def _frame(points: Sequence[Flat]) -> tuple[Flat, Flat]:
    xs, ys = [x for x, _ in points] + [0.0], [y for _, y in points] + [0.0]
    room = _MARGIN + _THUMB_FLESH_MM * _PER_MM / 2
    left, top = min(xs) - room, min(ys) - room - _TOP
    width = max(_WIDTH / 2, max(xs) + room - left)
    return (left, top), (width, max(ys) + room - top)


def _moved(points: Sequence[Flat], left: float, top: float) -> list[Flat]:
    return [(x - left, y - top) for x, y in points]


def _path(points: Sequence[Flat]) -> str:
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def _digit(points: Sequence[Flat], *, is_thumb: bool) -> str:
    """Draw one digit: skin, bones, joints. The thumb is the heavier one."""
    broad = (_THUMB_FLESH_MM if is_thumb else _FLESH_MM) * _PER_MM
    ends = {"fill": "none", "stroke_linecap": "round", "stroke_linejoin": "round"}
    edge = INK if is_thumb else QUIET
    path = _path(points)
    skin = tag("path", d=path, stroke=edge, stroke_width=broad, **ends) + tag(
        "path", d=path, stroke=PAPER, stroke_width=broad - (6 if is_thumb else 3), **ends
    )
    bones = tag("path", d=path, stroke=edge, stroke_width=9 if is_thumb else 5, **ends)
    joints = "".join(
        tag("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=edge, stroke_width=3)
        for x, y in points[:-1]
    )
    return skin + bones + joints


def _palm(placed: dict[str, list[Flat]], wrist: Flat) -> str:
    lines = "".join(
        tag("path", d=_path([wrist, points[0]]), stroke=QUIET, stroke_width=3, fill="none")
        for points in placed.values()
    )
    words = text_lines(["wrist"], wrist[0] + 12, wrist[1] + 8, _SIZE * 0.8, fill=QUIET)
    return lines + tag("circle", cx=wrist[0], cy=wrist[1], r=6, fill=QUIET) + words


def _bar(y: float) -> str:
    length = 20 * _PER_MM
    ticks = f"M2 {number(y - 8)}V{number(y + 8)}M2 {number(y)}H{number(length)}"
    path = f"{ticks}M{number(length)} {number(y - 8)}V{number(y + 8)}"
    return tag("path", d=path, stroke=INK, stroke_width=3, fill="none") + text_lines(
        ["20 mm"], 0, y + 1.4 * _SIZE, _SIZE, fill=INK
    )


def workspace_drawing(reach: Reach, whole: Reach, side: Side) -> str:
    """Draw the ground that the end of the thumb covers, seen from the palm.

    Parameters
    ----------
    reach, whole
        The thumb, and a whole normal thumb on the same hand.
    side
        Which hand.
    """
    old, new = (
        _flat([tuple(at) for at in tip_cloud(one.thumb, one.hand)], side, View.PALM)
        for one in (whole, reach)
    )
    knuckles = _knuckles(reach, side)
    (left, top), size = _frame([*old, *new, *knuckles])
    shapes = "".join(
        tag(
            "path",
            d=_path(_moved(outline(np.array(points, dtype=np.float32)), left, top)) + "Z",
            fill=fill,
            fill_opacity=0.5,
            stroke=INK,
            stroke_width=width,
            stroke_dasharray=dash,
        )
        for points, fill, width, dash in ((old, PAPER, 2.5, "9 7"), (new, "#c9d8e4", 4.0, "none"))
        if len(points) > 2
    )
    dots = "".join(
        tag("circle", cx=x, cy=y, r=9, fill=PAPER, stroke=QUIET, stroke_width=3)
        for x, y in _moved(knuckles, left, top)
    )
    heading = f"{side.value.upper()} hand, {View.PALM.value}"
    body = [text_lines([heading], 0, _SIZE, _SIZE, fill=INK), shapes, dots, _bar(size[1])]
    return svg(size[0], size[1] + 2.6 * _SIZE, body, title=workspace_words(reach, side))


def workspace_words(reach: Reach, side: Side) -> str:
    """Say what the drawing of the ground shows."""
    return (
        f"{side.value.upper()} hand {View.PALM.value}, fingers up. Full outline: the ground that "
        "the end of this thumb covers; dashed outline: that of a whole normal thumb on this hand; "
        "circles: the knuckles. The outlines are drawn tight around all places. This thumb makes "
        f"{100 * reach.workspace_share:.0f} % of the pinches of the whole one."
    )


def _knuckles(reach: Reach, side: Side) -> list[Flat]:
    pinch = next(iter(reach.pinches), None)
    if pinch is None:
        return [(0.0, 0.0)]
    still = Posture(thumb_deg=(0.0, 0.0, 0.0, 0.0, 0.0), finger_deg=(0.0, 0.0, 0.0))
    hand = posed_hand(reach.thumb, reach.hand, pinch, still)
    return _flat([at[0] for at in hand.fingers.values()], side, View.PALM)


_LEFT, _RIGHT, _HIGH = 90.0, 60.0, 360.0
_DASHES = {
    Digit.INDEX: "none",
    Digit.MIDDLE: "14 6",
    Digit.RING: "6 6",
    Digit.LITTLE: "2 6",
}


def curve_drawing(curve: Curve, *, title: str) -> str:
    """Draw reach against length: the mean stage, and the tip pinch with each finger."""
    lengths = [point.added_mm for point in curve.points]
    span = lengths[-1] - lengths[0]

    def across(added_mm: float) -> float:
        return _LEFT + (added_mm - lengths[0]) / span * (_WIDTH - _LEFT - _RIGHT)

    stage = [(across(one.added_mm), _up(one.stage / 10, 0)) for one in curve.points]
    body = [
        _axes(across, lengths, 0, ("stage", "0", "10")),
        _line(stage, "none"),
        _axes(across, lengths, 1, ("tip pinch", "0 %", "100 %")),
    ]
    for digit, dash in _DASHES.items():
        if digit in curve.points[0].tip_prob:
            line = [(across(one.added_mm), _up(one.tip_prob[digit], 1)) for one in curve.points]
            body.append(_line(line, dash))
            body.append(_key(digit, dash))
    now = across(0.0)
    path = f"M{number(now)} {number(_TOP)}V{number(_base(1))}"
    body.append(tag("path", d=path, stroke=QUIET, stroke_width=2, stroke_dasharray="3 6"))
    body.append(text_lines(["planned length"], now + 8, _TOP - 8, _SIZE * 0.8, fill=QUIET))
    return svg(_WIDTH, _base(1) + 3.4 * _SIZE, body, title=title)


def curve_words(curve: Curve) -> str:
    """Say what the curve shows."""
    points = ", ".join(f"{one.added_mm:.0f} mm: {one.stage:.1f}" for one in curve.points)
    enough = (
        f"Beyond {curve.enough_mm:.0f} mm nothing more is gained."
        if not isinstance(curve.enough_mm, Unknown)
        else f"Where gain ends is unknown: {curve.enough_mm.reason}."
    )
    return (
        f"Reach against length over the planned one, {curve.draws} draws each. Mean highest stage: "
        f"{points}. {enough} "
        "Lower field: tip pinch with index (full line), middle (long dashes), ring (short dashes) "
        "and little finger (dots)."
    ).replace("-", "−")


def _base(row: int) -> float:
    return _TOP + (row + 1) * _HIGH - 40


def _up(share: float, row: int) -> float:
    return _base(row) - share * (_HIGH - 110)


def _axes(across: object, lengths: Sequence[float], row: int, words: tuple[str, str, str]) -> str:
    place = across if callable(across) else float
    base, top = _base(row), _up(1, row)
    name, low, high = words
    lines = f"M{number(_LEFT)} {number(top)}V{number(base)}H{number(_WIDTH - _RIGHT)}"
    parts = [
        tag("path", d=lines, fill="none", stroke=INK, stroke_width=2),
        text_lines([name], 0, top - 14, _SIZE * 0.85, fill=INK),
        text_lines([low], _LEFT - 10, base + 6, _SIZE * 0.8, text_anchor="end"),
        text_lines([high], _LEFT - 10, top + 8, _SIZE * 0.8, text_anchor="end"),
    ]
    for length in lengths:
        sign = "0" if length == 0 else f"{length:+.0f}".replace("-", "−")
        label = f"{sign} mm" if length == lengths[-1] else sign
        parts.append(
            text_lines(
                [label], place(length), base + 1.2 * _SIZE, _SIZE * 0.8, text_anchor="middle"
            )
        )
    return "".join(parts)


def _line(points: Sequence[Flat], dash: str) -> str:
    return tag(
        "path", d=_path(points), fill="none", stroke=INK, stroke_width=4, stroke_dasharray=dash
    )


def _key(digit: Digit, dash: str) -> str:
    """Name a line under the lower field."""
    x = _LEFT + list(Digit).index(digit) * 215
    y = _base(1) + 2.7 * _SIZE
    sample = _line([(x, y - 8), (x + 90, y - 8)], dash)
    return sample + text_lines([digit.value], x + 100, y, _SIZE * 0.8, fill=INK)
