"""The forest of one outcome: each series with its interval, what they come to, one more series.

Kinds of series differ by shape and by word, not by colour; whatever leaves the axis ends in an
arrow, and its numbers stand beside it. Coordinates are millimetres of the printed picture.
"""

from collections.abc import Sequence

from thumbwright.core.foundations.answer import Unknown
from thumbwright.documents.evidence_content import EvidencePart, PooledRow, RowKind, SeriesRow
from thumbwright.documents.paper_parts import Picture, PrintedNumber
from thumbwright.documents.svg import INK, PAPER, QUIET, number, svg, tag, text_lines, wrapped

WIDTH_MM = 174.0
_ROW = 5.2
_SIZE = 2.9
_KIND_AT, _LEFT, _RIGHT, _NUMBERS_AT = 47.0, 66.0, 124.0, 127.0
_HEAD = 9.0
_TICKS = (0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2)


def forest_picture(part: EvidencePart) -> Picture:
    """Say what the forest shows, so that it is complete without being seen."""
    return Picture(
        name=f"forest, {part.technique}, {part.outcome}.svg".replace("/", " "),
        alt=" ".join(forest_words(part)),
        caption=(
            f"{part.outcome.capitalize()}, {part.technique}. Lines are exact 95 % intervals; an "
            "arrow goes on beyond the axis. "
            + "; ".join(f"{kind.shape}: {kind.value}" for kind in _kinds(part))
            + ". Diamond: series together. Dashed bar: where one more series should lie."
        ),
    )


def forest_words(part: EvidencePart) -> tuple[str, ...]:
    """Return everything the forest shows, in sentences."""
    rows = () if isinstance(part.rows, Unknown) else part.rows
    told = [f"Forest of {part.outcome}, {part.technique}: {len(rows)} series."]
    told += [f"{one.study}, {one.kind.value}: {one.counted}, {one.share.words}." for one in rows]
    for pooled in part.pooled:
        further = ""
        if pooled.next_low is not None and pooled.next_high is not None:
            ends = f"{100 * pooled.next_low:.1f} to {100 * pooled.next_high:.1f} %"
            further = f"; one more series: {ends}"
        told.append(f"{pooled.name.capitalize()}: {pooled.share.words}{further}.")
    return tuple(told)


def forest(part: EvidencePart) -> str:
    """Draw the forest.

    Parameters
    ----------
    part
        An outcome with at least one row.

    Returns
    -------
    str
        An SVG document, 174 mm wide.
    """
    rows = () if isinstance(part.rows, Unknown) else part.rows
    top = _axis_top(rows, part.pooled)
    body = [_heading()]
    y = _HEAD
    for row in rows:
        y += _ROW
        body.append(_series(row, y, top))
    for pooled in part.pooled:
        y += 1.3 * _ROW
        body.append(_pooled(pooled, y, top))
        y += 0.6 * _ROW if pooled.next_high is not None else 0.0
    axis = y + 0.8 * _ROW
    title = f"Forest of {part.outcome}, {part.technique}"
    return svg(WIDTH_MM, axis + 8.0, [_axis(axis, top), *body], title=title)


def _kinds(part: EvidencePart) -> tuple[RowKind, ...]:
    rows = () if isinstance(part.rows, Unknown) else part.rows
    return tuple(kind for kind in RowKind if any(row.kind is kind for row in rows))


def _axis_top(rows: Sequence[SeriesRow], pooled: Sequence[PooledRow]) -> float:
    """Return the share at the right end: wide enough for the pooled, not for every interval."""
    wanted = [row.share.value for row in rows] + [one.share.high or 0.0 for one in pooled]
    highest = max([*wanted, 0.01])
    step = next((tick for tick in _TICKS if highest / tick <= 6), 0.2)
    return min(1.0, step * (int(highest / step) + 1))


def _x(share: float, top: float) -> float:
    return _LEFT + min(share, top) / top * (_RIGHT - _LEFT)


def _heading() -> str:
    words = (("series", 0.0), ("kind", _KIND_AT), ("counted, share (95 %)", _NUMBERS_AT))
    return "".join(
        text_lines([word], x, 4.0, _SIZE, font_weight="bold", fill=INK) for word, x in words
    )


def _axis(y: float, top: float) -> str:
    step = next((tick for tick in _TICKS if top / tick <= 6.01), 0.2)
    parts = [_stroke(f"M{number(_LEFT)} {number(y)}H{number(_RIGHT)}", 0.25)]
    for place in range(int(top / step + 1.001)):
        share = place * step
        x = _x(share, top)
        parts.append(_stroke(f"M{number(x)} {number(y)}v1.2", 0.25))
        parts.append(_stroke(f"M{number(x)} {number(_HEAD)}V{number(y)}", 0.1, dash="0.4 1"))
        label = f"{100 * share:g} %"
        parts.append(text_lines([label], x, y + 4.6, 2.5, fill=QUIET, text_anchor="middle"))
    return "".join(parts)


def _series(row: SeriesRow, y: float, top: float) -> str:
    dash = "1.2 0.8" if row.kind is RowKind.FROM_MEMORY else ""
    name = wrapped(row.study, _KIND_AT - 2, _SIZE, most_lines=1)
    return (
        text_lines(name, 0.0, y + 1, _SIZE, fill=INK)
        + text_lines([row.kind.value], _KIND_AT, y + 1, _SIZE, fill=INK)
        + _whisker(row.share, y, top, dash)
        + _marker(row.kind, _x(row.share.value, top), y)
        + text_lines([f"{row.counted}, {row.share.words}"], _NUMBERS_AT, y + 1, 2.7, fill=INK)
    )


def _whisker(share: PrintedNumber, y: float, top: float, dash: str) -> str:
    low, high = share.low or 0.0, share.high if share.high is not None else share.value
    path = f"M{number(_x(low, top))} {number(y)}H{number(_x(high, top))}"
    return _stroke(path, 0.35, dash=dash) + (_arrow(y) if high > top else "")


def _arrow(y: float) -> str:
    """Return the head of an arrow at the right end of the axis: it goes on."""
    back, tip, middle = number(_RIGHT - 1.3), number(_RIGHT), number(y)
    up = f"M{back} {number(y - 0.9)}L{tip} {middle}"
    down = f"M{back} {number(y + 0.9)}L{tip} {middle}"
    return _stroke(up + down, 0.3)


def _marker(kind: RowKind, x: float, y: float) -> str:
    if kind is RowKind.PURE:
        return tag("rect", x=x - 1.1, y=y - 1.1, width=2.2, height=2.2, fill=INK)
    if kind is RowKind.MIXED:
        return tag("circle", cx=x, cy=y, r=1.2, fill=PAPER, stroke=INK, stroke_width=0.4)
    if kind is RowKind.REVIEW:
        path = f"M{number(x - 1.4)} {number(y + 1.1)}h2.8l-1.4 -2.4Z"
        return tag("path", d=path, fill=PAPER, stroke=INK, stroke_width=0.4)
    left = number(x - 1.1)
    down, up = f"M{left} {number(y - 1.1)}l2.2 2.2", f"M{left} {number(y + 1.1)}l2.2 -2.2"
    return _stroke(down + up, 0.5)


def _pooled(one: PooledRow, y: float, top: float) -> str:
    low, high = one.share.low or 0.0, one.share.high or one.share.value
    left, middle, right = _x(low, top), _x(one.share.value, top), _x(high, top)
    shape = (
        f"M{number(left)} {number(y)}L{number(middle)} {number(y - 1.5)}"
        f"L{number(right)} {number(y)}L{number(middle)} {number(y + 1.5)}Z"
    )
    beyond = ""
    if one.next_low is not None and one.next_high is not None:
        words = f"one more series: {100 * one.next_low:.1f} to {100 * one.next_high:.1f} %"
        beyond = text_lines([words], _NUMBERS_AT, y + 4.4, 2.7, fill=INK)
        ends = f"M{number(_x(one.next_low, top))} {number(y)}H{number(_x(one.next_high, top))}"
        beyond += _stroke(ends, 0.9, dash="1.6 0.9", colour=QUIET)
        beyond += _arrow(y) if one.next_high > top else ""
    name = wrapped(one.name, _LEFT - 2, _SIZE, most_lines=1)
    return (
        text_lines(name, 0.0, y + 1, _SIZE, font_weight="bold", fill=INK)
        + beyond
        + tag("path", d=shape, fill="#33526b", stroke=INK, stroke_width=0.25)
        + text_lines([one.share.words], _NUMBERS_AT, y + 1, 2.7, font_weight="bold", fill=INK)
    )


def _stroke(path: str, width: float, *, dash: str = "", colour: str = INK) -> str:
    pattern = {"stroke_dasharray": dash} if dash else {}
    return tag("path", d=path, fill="none", stroke=colour, stroke_width=width, **pattern)
