"""Curves of growth: each technique's thumb and the other thumb by age, in millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass

from thumbwright.core.growth.forecast import Band
from thumbwright.core.techniques.growth_outlook import GrowthOutlook, ThumbForecast
from thumbwright.documents.paper_parts import Picture
from thumbwright.documents.svg import INK, QUIET, number, svg, tag, text_lines, wrapped

NAME = "own drawing, growth.svg"
_WIDTH, _HEIGHT = 1000.0, 640.0
_SIZE, _SMALL = 18.0, 16.0
"""Letters: 9 and 8 point where the drawing is printed 174 mm wide. [units]"""
_LEFT, _RIGHT, _TOP, _BOTTOM = 58.0, 580.0, 34.0, 580.0
_LINE = 1.22 * _SMALL
_BAR_STEP = 16.0
"""From one bar of the grown lengths to the next. [units]"""
_ALIKE_MM = 0.6
"""Curves closer than this at every age are drawn as one."""
_DASHES = ("", "14 6", "4 5", "18 5 4 5", "9 4", "22 8", "2 3", "12 4 2 4 2 4")
_SHADES = ("#1a1a1a", "#0b5394", "#9c4a00", "#38761d", "#741b47", "#4a4a8a", "#7a5c00", "#00605c")
"""Every one at least 5 to 1 on white; dashes and labels carry the meaning."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Curve:
    label: str
    bands: tuple[Band, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Frame:
    first_years: float
    last_years: float
    low_mm: float
    high_mm: float

    def x(self, age_years: float) -> float:
        share = (age_years - self.first_years) / (self.last_years - self.first_years)
        return _LEFT + share * (_RIGHT - _LEFT)

    def y(self, length_mm: float) -> float:
        share = (length_mm - self.low_mm) / (self.high_mm - self.low_mm)
        return _BOTTOM - share * (_BOTTOM - _TOP)


def growth_picture(outlooks: Sequence[GrowthOutlook]) -> Picture:
    """Say what the curves of growth show.

    Parameters
    ----------
    outlooks
        At least one that has a forecast.
    """
    described = "; ".join(_described(curve) for curve in _curves(outlooks))
    return Picture(
        name=NAME,
        alt=f"Length of the thumb by age, CMC joint to bony tip. {described}.",
        caption=(
            "Length from CMC joint to bony tip by age. Lines: medians, each with its own dashes "
            "and label; shaded darker: half of the cases, paler: 95 %. Bars at the right: the "
            "grown thumb, thick for half and thin for 95 % of the cases."
        ),
    )


def growth_drawing(outlooks: Sequence[GrowthOutlook], *, title: str) -> str:
    """Draw the curves of growth of every technique and of the other thumb.

    Parameters
    ----------
    outlooks
        At least one that has a forecast.
    title
        What the drawing shows, for those who cannot see it.

    Returns
    -------
    str
        An SVG document; one scale in millimetres for all.
    """
    curves = _curves(outlooks)
    every = [band for curve in curves for band in curve.bands]
    frame = _Frame(
        first_years=curves[0].bands[0].age_years,
        last_years=curves[0].bands[-1].age_years,
        low_mm=10 * (min(band.low_95_mm for band in every) // 10),
        high_mm=10 * (max(band.high_95_mm for band in every) // 10 + 1),
    )
    bars_end = _RIGHT + _BAR_STEP * (len(curves) + 1)
    words = [_words(curve, _WIDTH - bars_end - 54) for curve in curves]
    labels = _spread(
        [frame.y(curve.bands[-1].median_mm) for curve in curves],
        [_LINE * len(lines) + 6 for lines in words],
    )
    body = [_axes(frame)]
    body += [_shade(curve, frame, at) for at, curve in enumerate(curves)]
    body += [_line(curve, frame, at) for at, curve in enumerate(curves)]
    body += [_bar(curve, frame, at) for at, curve in enumerate(curves)]
    body += [
        _label(curve, frame, at, (bars_end, labels[at]), words[at])
        for at, curve in enumerate(curves)
    ]
    return svg(_WIDTH, max(_HEIGHT, max(labels) + 90), body, title=title)


def _curves(outlooks: Sequence[GrowthOutlook]) -> list[_Curve]:
    """Return the other thumb first, then the techniques; those that run alike together."""
    known = [
        (one, one.forecast)
        for one in outlooks
        if isinstance(one.forecast, ThumbForecast) and not one.is_worn
    ]
    first = next(one.forecast for one in outlooks if isinstance(one.forecast, ThumbForecast))
    curves = [_Curve(label="other thumb", bands=first.other)]
    for outlook, forecast in known:
        name = outlook.short_name
        same = [at for at, curve in enumerate(curves) if at and _alike(curve.bands, forecast.thumb)]
        if same:
            before = curves[same[0]]
            curves[same[0]] = _Curve(label=f"{before.label}; {name}", bands=before.bands)
        else:
            curves.append(_Curve(label=name, bands=forecast.thumb))
    return curves


def _alike(one: Sequence[Band], other: Sequence[Band]) -> bool:
    return all(abs(a.median_mm - b.median_mm) < _ALIKE_MM for a, b in zip(one, other, strict=True))


def _described(curve: _Curve) -> str:
    now, grown = curve.bands[0], curve.bands[-1]
    return (
        f"{curve.label}: {now.median_mm:.1f} mm at {now.age_years:.1f} years, "
        f"{grown.median_mm:.1f} mm when grown ({grown.low_95_mm:.1f} to {grown.high_95_mm:.1f})"
    )


def _axes(frame: _Frame) -> str:
    parts = [text_lines(["mm"], _LEFT - 10, _TOP - 14, _SMALL, fill=QUIET, text_anchor="end")]
    for mm in range(int(frame.low_mm), int(frame.high_mm) + 1, 10):
        y = frame.y(mm)
        parts += [
            _path(f"M{number(_LEFT)} {number(y)}H{number(_RIGHT)}", "#c9c9c9", 0.8),
            text_lines([str(mm)], _LEFT - 10, y + 5, _SMALL, fill=QUIET, text_anchor="end"),
        ]
    for year in range(int(frame.first_years) + 1, int(frame.last_years) + 1):
        x = frame.x(year)
        parts.append(_path(f"M{number(x)} {number(_BOTTOM)}v7", QUIET, 1.4))
        if year % 2 == 0:
            parts.append(
                text_lines([str(year)], x, _BOTTOM + 25, _SMALL, fill=QUIET, text_anchor="middle")
            )
    parts.append(_path(f"M{number(_LEFT)} {number(_BOTTOM)}H{number(_RIGHT)}", QUIET, 1.4))
    words = ["age in years; at 20 growth has ended"]
    parts.append(
        text_lines(words, (_LEFT + _RIGHT) / 2, _BOTTOM + 48, _SMALL, text_anchor="middle")
    )
    return "".join(parts)


def _shade(curve: _Curve, frame: _Frame, at: int) -> str:
    ages = [frame.x(band.age_years) for band in curve.bands]
    outer = [(band.low_95_mm, band.high_95_mm) for band in curve.bands]
    inner = [(band.low_50_mm, band.high_50_mm) for band in curve.bands]
    drawn = []
    for ends, opacity in ((outer, 0.07), (inner, 0.15)):
        up = [(x, frame.y(high)) for x, (_, high) in zip(ages, ends, strict=True)]
        down = [(x, frame.y(low)) for x, (low, _) in zip(ages, ends, strict=True)]
        points = (*up, *reversed(down))
        path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points) + "Z"
        shade = _of(_SHADES, at)
        drawn.append(tag("path", d=path, fill=shade, fill_opacity=opacity, stroke="none"))
    return "".join(drawn)


def _line(curve: _Curve, frame: _Frame, at: int) -> str:
    points = [(frame.x(b.age_years), frame.y(b.median_mm)) for b in curve.bands]
    path = "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)
    return _path(path, _of(_SHADES, at), 4.0 if at == 0 else 2.6, _of(_DASHES, at))


def _bar(curve: _Curve, frame: _Frame, at: int) -> str:
    x, band, shade = _RIGHT + _BAR_STEP * (at + 1), curve.bands[-1], _of(_SHADES, at)
    ends = f"M{number(x)} {number(frame.y(band.low_95_mm))}V{number(frame.y(band.high_95_mm))}"
    half = f"M{number(x)} {number(frame.y(band.low_50_mm))}V{number(frame.y(band.high_50_mm))}"
    middle = f"M{number(x - 6)} {number(frame.y(band.median_mm))}h12"
    return _path(ends, shade, 1.6) + _path(half, shade, 6.0) + _path(middle, INK, 1.6)


def _words(curve: _Curve, width: float) -> list[str]:
    band = curve.bands[-1]
    grown = f"{band.median_mm:.0f} mm ({band.low_95_mm:.0f} to {band.high_95_mm:.0f})"
    return [*wrapped(curve.label, width, _SMALL, most_lines=3), grown]


def _label(
    curve: _Curve, frame: _Frame, at: int, place: tuple[float, float], lines: Sequence[str]
) -> str:
    left, y = place
    shade, end = _of(_SHADES, at), frame.y(curve.bands[-1].median_mm)
    bar = _RIGHT + _BAR_STEP * (at + 1) + 6
    lead = _path(f"M{number(bar)} {number(end)}L{number(left)} {number(y)}", QUIET, 0.8)
    sample = _path(f"M{number(left)} {number(y)}h44", shade, 3.0, _of(_DASHES, at))
    return lead + sample + text_lines(lines, left + 52, y + 5, _SMALL)


def _spread(wanted: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Move labels apart that would lie on one another, keeping their order."""
    order = sorted(range(len(wanted)), key=lambda at: wanted[at])
    placed = [0.0] * len(wanted)
    free = _TOP - 14
    for at in order:
        placed[at] = max(wanted[at], free)
        free = placed[at] + heights[at]
    bottom = max(_HEIGHT, _TOP + sum(heights))
    for at in reversed(order):
        placed[at] = min(placed[at], bottom - heights[at])
        bottom = placed[at]
    return placed


def _of(choices: Sequence[str], at: int) -> str:
    return choices[at % len(choices)]


def _path(path: str, colour: str, width: float, dash: str = "") -> str:
    pattern = {"stroke_dasharray": dash} if dash else {}
    return tag("path", d=path, fill="none", stroke=colour, stroke_width=width, **pattern)
