"""Two drawings of the weighing: who comes where how often, and what is traded for what.

Parts of a bar differ by pattern and number, points by shape and number, never by colour alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.comparison.acceptability import Acceptability
from thumbwright.core.comparison.criterion import Criterion, CriterionKey
from thumbwright.core.comparison.family_words import counts_of_100
from thumbwright.core.comparison.performance_table import PerformanceTable
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, PAPER, QUIET, number, svg, tag, text_lines, wrapped

_WIDTH = 1000.0
_SIZE = 18.0
"""Letters: 9 point where the drawing is printed 174 mm wide. [units]"""
_DARK = "#33526b"
_MOST_BARS = 8
_PLACES = ("first", "second", "third", "later")
_FILLS = (_DARK, "url(#hatch)", "url(#dots)", PAPER)
_PLOT = 520.0
"""Side of the map. [units]"""
_ALIKE = 0.01
"""Expected values no further apart than this are alike; chance moves them so far. [-]"""
_NEAR = 30.0
"""Points nearer than this share one label. [units]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RankBar:
    """One technique and how often it takes each place."""

    name: str
    counts: tuple[int, int, int, int]
    """Of 100: first, second, third, later."""
    first_prob: float
    """[-]"""
    first_error_prob: float
    """Standard error of the same, from drawing alone. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class TradePoint:
    """One technique on the map of two criteria."""

    name: str
    x: float
    """Expected share of the swing. [-]"""
    x_span: tuple[float, float]
    """In 8 of 10 draws it lies between these. [-]"""
    y: float
    """[-]"""
    y_span: tuple[float, float]
    """[-]"""
    on_front: bool
    """Nothing on the map is expected to be better in one and at least as good in the other."""


def rank_bars(found: Acceptability) -> tuple[RankBar, ...]:
    """Return a bar for each technique, in order, eight at most."""
    bars = []
    for key in found.in_order[:_MOST_BARS]:
        place = found.place_of(key)
        probs = np.zeros(len(_PLACES))
        known = found.rank_prob[place, :3]
        probs[: len(known)] = known
        probs[3] = max(0.0, 1.0 - probs[:3].sum())
        first, second, third, later = counts_of_100(probs)
        bars.append(
            RankBar(
                name=found.names[place],
                counts=(first, second, third, later),
                first_prob=float(probs[0]),
                first_error_prob=float(found.rank_error_prob[place, 0]),
            )
        )
    return tuple(bars)


def ranking_picture(bars: Sequence[RankBar], *, whose: str, name: str) -> Picture:
    """Say what the bars show.

    Parameters
    ----------
    bars
        The bars.
    whose
        Whose ways to weigh they are: "the patient".
    name
        File name of the drawing.
    """
    described = "; ".join(f"{bar.name}: {_placed_words(bar.counts)}" for bar in bars)
    lead = f"Of 100 ways to weigh what matters to {whose}, how often each takes which place."
    return Picture(
        name=name,
        alt=f"{lead} {described}.",
        caption=f"{lead} The line under a bar is the doubt that comes from drawing alone.",
    )


def ranking_drawing(bars: Sequence[RankBar], *, title: str) -> str:
    """Draw a bar for each technique, its parts the first, second, third and later places."""
    row, left, length, top = 3.0 * _SIZE, 330.0, 560.0, 2.4 * _SIZE
    body = [_patterns(), _key(left)]
    for place, bar in enumerate(bars):
        y = top + place * row
        lines = wrapped(bar.name, left - 18, _SIZE, most_lines=2)
        body.append(text_lines(lines, 0, y + 16 - 8 * (len(lines) - 1), _SIZE, fill=INK))
        body.append(_bar(bar, left, y, length))
        body.append(_doubt(bar, left, y, length))
        words = f"{bar.counts[0]} first"
        body.append(text_lines([words], left + length + 12, y + 17, _SIZE, font_weight="bold"))
    return svg(_WIDTH, top + len(bars) * row, body, title=title)


def trade_points(
    table: PerformanceTable, across: CriterionKey, up: CriterionKey
) -> tuple[TradePoint, ...]:
    """Return where each technique stands in two things, and who stands on the front."""
    columns = [table.keys.index(key) for key in (across, up)]
    values = table.value_share[:, :, columns].astype(np.float64)
    means = values.mean(axis=0)
    low, high = np.quantile(values, [0.1, 0.9], axis=0)
    return tuple(
        TradePoint(
            name=table.names[place],
            x=float(x),
            x_span=(float(low[place, 0]), float(high[place, 0])),
            y=float(y),
            y_span=(float(low[place, 1]), float(high[place, 1])),
            on_front=not _is_beaten(means - means[place]),
        )
        for place, (x, y) in enumerate(means)
    )


def _is_beaten(ahead: NDArray[np.float64]) -> bool:
    """Return whether some technique is at least as good in both and better in one."""
    at_least = (ahead >= -_ALIKE).all(axis=1)
    return bool((at_least & (ahead > _ALIKE).any(axis=1)).any())


def trade_picture(
    points: Sequence[TradePoint], across: Criterion, up: Criterion, *, name: str
) -> Picture:
    """Say what the map shows."""
    said = "; ".join(
        f"{place}. {one.name}: {across.name} {100 * one.x:.0f} of 100, {up.name} "
        f"{100 * one.y:.0f} of 100{', on the front' if one.on_front else ''}"
        for place, one in enumerate(points, start=1)
    )
    return Picture(
        name=name,
        alt=f"What is traded between {across.name} and {up.name}. {said}.",
        caption=(
            f"{_capital(across.name)} against {up.name}, each from worst (0) to best (100). Filled "
            "squares stand on the front: to have more of the one, less of the other must be "
            "taken. Crosses span 8 of 10 draws."
        ),
    )


def trade_drawing(
    points: Sequence[TradePoint], across: Criterion, up: Criterion, *, title: str
) -> str:
    """Draw the map with its front and a numbered list of names beside it."""
    left, top = 96.0, 30.0
    frame = tag(
        "rect", x=left, y=top, width=_PLOT, height=_PLOT, fill=PAPER, stroke=QUIET, stroke_width=1.5
    )
    placed = [(left + one.x * _PLOT, top + (1 - one.y) * _PLOT) for one in points]
    body = [frame, _axes(left, top, across, up), _front(points, left, top)]
    body += [_cross(one, left, top) for one in points]
    body += [_marker(at, on_front=one.on_front) for at, one in zip(placed, points, strict=True)]
    body += _labels(placed, left + _PLOT)
    foot = _names(points, left + _PLOT + 34, top)
    body.append(foot[0])
    return svg(_WIDTH, max(top + _PLOT + 64, foot[1] + 10), body, title=title)


def _placed_words(counts: Sequence[int]) -> str:
    said = [f"{word} {count}" for word, count in zip(_PLACES, counts, strict=True) if count]
    return ", ".join(said)


def _patterns() -> str:
    hatch = tag("rect", width=9, height=9, fill="#dfe7ee") + tag(
        "path", d="M-2 2L2 -2M0 9L9 0M7 11L11 7", stroke=_DARK, stroke_width=2.4
    )
    dots = tag("rect", width=9, height=9, fill=PAPER) + tag(
        "circle", cx=4.5, cy=4.5, r=1.7, fill=_DARK
    )
    sizes: dict[str, str | float] = {"width": 9, "height": 9, "patternUnits": "userSpaceOnUse"}
    return tag(
        "defs",
        tag("pattern", hatch, id="hatch", **sizes) + tag("pattern", dots, id="dots", **sizes),
    )


def _key(left: float) -> str:
    parts = []
    for place, (word, fill) in enumerate(zip(_PLACES, _FILLS, strict=True)):
        x = left + place * 140
        parts.append(
            tag("rect", x=x, y=4, width=30, height=18, fill=fill, stroke=INK, stroke_width=1.2)
        )
        parts.append(text_lines([word], x + 38, 19, _SIZE, fill=INK))
    return "".join(parts)


def _bar(bar: RankBar, left: float, y: float, length: float) -> str:
    parts, x = [], left
    for count, fill in zip(bar.counts, _FILLS, strict=True):
        width = count / 100 * length
        if count:
            parts.append(
                tag("rect", x=x, y=y, width=width, height=24, fill=fill, stroke=INK, stroke_width=1)
            )
        if count >= 6:
            parts.append(_count(str(count), x + width / 2, y, on_dark=fill == _DARK))
        x += width
    return "".join(parts)


def _count(words: str, middle: float, y: float, *, on_dark: bool) -> str:
    half = 6.5 * len(words)
    under = tag("rect", x=middle - half, y=y + 3, width=2 * half, height=18, fill=PAPER)
    colour = PAPER if on_dark else INK
    text = text_lines([words], middle, y + 18, 16, fill=colour, text_anchor="middle")
    return text if on_dark else under + text


def _doubt(bar: RankBar, left: float, y: float, length: float) -> str:
    half = 1.96 * bar.first_error_prob
    low, high = max(0.0, bar.first_prob - half), min(1.0, bar.first_prob + half)
    a, b = number(left + low * length), number(left + high * length)
    low_y, high_y, line = number(y + 27), number(y + 35), number(y + 31)
    path = f"M{a} {low_y}V{high_y}M{a} {line}H{b}M{b} {low_y}V{high_y}"
    return tag("path", d=path, fill="none", stroke=INK, stroke_width=1.6)


def _axes(left: float, top: float, across: Criterion, up: Criterion) -> str:
    parts = []
    for tick in (0, 25, 50, 75, 100):
        x, y = left + tick / 100 * _PLOT, top + (1 - tick / 100) * _PLOT
        low = number(top + _PLOT)
        path = f"M{number(x)} {low}v7M{number(left)} {number(y)}h-7"
        parts.append(tag("path", d=path, stroke=QUIET, stroke_width=1.4))
        parts.append(
            text_lines([str(tick)], x, top + _PLOT + 24, 16, fill=INK, text_anchor="middle")
        )
        parts.append(text_lines([str(tick)], left - 12, y + 6, 16, fill=INK, text_anchor="end"))
    middle = left + _PLOT / 2
    parts.append(
        text_lines([across.name], middle, top + _PLOT + 50, _SIZE, fill=INK, text_anchor="middle")
    )
    turned = f"rotate(-90 26 {number(top + _PLOT / 2)})"
    parts.append(
        text_lines(
            [up.name], 26, top + _PLOT / 2, _SIZE, fill=INK, text_anchor="middle", transform=turned
        )
    )
    return "".join(parts)


def _front(points: Sequence[TradePoint], left: float, top: float) -> str:
    front = sorted({(one.x, one.y) for one in points if one.on_front})
    stops = [f"{number(left + x * _PLOT)} {number(top + (1 - y) * _PLOT)}" for x, y in front]
    if len(stops) < 2:
        return ""
    path = "M" + "L".join(stops)
    return tag("path", d=path, fill="none", stroke=INK, stroke_width=2, stroke_dasharray="9 6")


def _cross(one: TradePoint, left: float, top: float) -> str:
    x, y = number(left + one.x * _PLOT), number(top + (1 - one.y) * _PLOT)
    west, east = (number(left + end * _PLOT) for end in one.x_span)
    south, north = (number(top + (1 - end) * _PLOT) for end in one.y_span)
    path = f"M{west} {y}H{east}M{x} {south}V{north}"
    return tag("path", d=path, fill="none", stroke=QUIET, stroke_width=1.6)


def _marker(at: tuple[float, float], *, on_front: bool) -> str:
    x, y = at
    if on_front:
        square = {"x": x - 7, "y": y - 7, "width": 14, "height": 14}
        return tag("rect", **square, fill=_DARK, stroke=PAPER, stroke_width=1.5)
    return tag("circle", cx=x, cy=y, r=7, fill=PAPER, stroke=_DARK, stroke_width=2.5)


def _labels(placed: Sequence[tuple[float, float]], right: float) -> list[str]:
    """Write the number of each point beside it; points that nearly coincide share one label."""
    groups: list[tuple[float, float, list[str]]] = []
    for place, (x, y) in enumerate(placed, start=1):
        for gx, gy, numbers in groups:
            if abs(gx - x) < _NEAR and abs(gy - y) < _NEAR:
                numbers.append(str(place))
                break
        else:
            groups.append((x, y, [str(place)]))
    return [_label(x, y, ", ".join(numbers), right) for x, y, numbers in groups]


def _label(x: float, y: float, words: str, right: float) -> str:
    wide = 9.5 * len(words) + 8
    start = x + 12 if x + 12 + wide <= right else x - 12 - wide
    under = tag("rect", x=start, y=y - 27, width=wide, height=21, fill=PAPER, fill_opacity=0.85)
    return under + text_lines([words], start + 4, y - 11, _SIZE, fill=INK, font_weight="bold")


def _names(points: Sequence[TradePoint], left: float, top: float) -> tuple[str, float]:
    """Write the numbered list of names; return it with its lower edge."""
    parts, y = [], top + 14
    for place, one in enumerate(points, start=1):
        lines = wrapped(one.name, _WIDTH - left - 40, _SIZE, most_lines=2)
        parts.append(text_lines([f"{place}"], left, y, _SIZE, fill=INK, font_weight="bold"))
        parts.append(_marker((left + 33, y - 6), on_front=one.on_front))
        parts.append(text_lines(lines, left + 48, y, _SIZE, fill=INK))
        y += 1.22 * _SIZE * len(lines) + 9
    return "".join(parts), y


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
