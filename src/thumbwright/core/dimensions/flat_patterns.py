"""Patterns of skin as polygons in millimetres: cylinder, cone, wrap-around, triangle, Z.

Pure geometry. Every pattern is drawn with the skin side up and the tip upwards, for the LEFT
side; :func:`mirrored` turns it for the right. x runs to the right and y upwards.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, hypot, pi, radians, sin, sqrt

from thumbwright.core.foundations.errors import UnitError

Corner = tuple[float, float]
"""(x, y) on the pattern. [mm]"""
MOST_SAG_MM = 0.01
"""Farthest that a drawn arc runs beside the true one. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternLine:
    """A line on a pattern: a seam to be turned in, a level, a cut."""

    start: Corner
    end: Corner
    words: str
    is_cut: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class FlatPattern:
    """One piece of paper to be laid on skin."""

    name: str
    outline: tuple[Corner, ...]
    """Corners in order, not closed. [mm]"""
    lines: tuple[PatternLine, ...] = ()
    notes: tuple[str, ...] = ()
    up: str = "tip of the digit"
    """What lies upwards."""
    outline_is_cut: bool = True
    """Whether the outline is cut; else it only shows how far the lines reach."""
    is_mirrored: bool = False

    @property
    def width_mm(self) -> float:
        """Return how broad the paper is [mm]."""
        return max(x for x, _ in self.outline) - min(x for x, _ in self.outline)

    @property
    def height_mm(self) -> float:
        """Return how high the paper is [mm]."""
        return max(y for _, y in self.outline) - min(y for _, y in self.outline)


def area_mm2(outline: Sequence[Corner]) -> float:
    """Return the area inside an outline by the sum of its trapezes [mm2].

    Examples
    --------
    >>> area_mm2(((0, 0), (30, 0), (30, 20), (0, 20)))
    600.0
    """
    pairs = zip(outline, (*outline[1:], outline[0]), strict=True)
    return abs(sum(x * v - u * y for (x, y), (u, v) in pairs)) / 2


def mirrored(pattern: FlatPattern) -> FlatPattern:
    """Return the pattern for the other side, turned over like a page of a book."""
    return replace(
        pattern,
        outline=tuple((-x, y) for x, y in reversed(pattern.outline)),
        lines=tuple(
            replace(line, start=(-line.start[0], line.start[1]), end=(-line.end[0], line.end[1]))
            for line in pattern.lines
        ),
        is_mirrored=not pattern.is_mirrored,
    )


def enlarged(pattern: FlatPattern, side_factor: float) -> FlatPattern:
    """Return the pattern with every length times a factor, for skin that draws together [-]."""
    _demand(side_factor > 0, f"a side factor of {side_factor}", "a factor above 0")
    return replace(
        pattern,
        outline=tuple((x * side_factor, y * side_factor) for x, y in pattern.outline),
        lines=tuple(
            replace(
                line,
                start=(line.start[0] * side_factor, line.start[1] * side_factor),
                end=(line.end[0] * side_factor, line.end[1] * side_factor),
            )
            for line in pattern.lines
        ),
    )


def side_factor(area_lost_share: float) -> float:
    r"""Return by how much each side is cut larger so that the wanted area is left [-].

    Notes
    -----
    .. math:: f = 1 / \sqrt{1 - q}

    Examples
    --------
    >>> round(side_factor(0.20), 3)
    1.118
    """
    _demand(0 <= area_lost_share < 1, f"a loss of {area_lost_share}", "a share from 0 to below 1")
    return 1 / sqrt(1 - area_lost_share)


def cylinder(name: str, *, girth_mm: float, length_mm: float, seam_mm: float = 0.0) -> FlatPattern:
    """Unroll a tube: a rectangle, with a strip for the seam on its right.

    Parameters
    ----------
    name
        What it is for.
    girth_mm, length_mm
        Of the tube. [mm]
    seam_mm
        Skin turned in at the seam. [mm]
    """
    _demand(
        min(girth_mm, length_mm) > 0 <= seam_mm, f"{girth_mm} by {length_mm} mm", "sizes above 0"
    )
    right = girth_mm + seam_mm
    outline = ((0.0, 0.0), (right, 0.0), (right, length_mm), (0.0, length_mm))
    return FlatPattern(
        name=name, outline=outline, lines=_seam_line((girth_mm, 0), (girth_mm, length_mm), seam_mm)
    )


def slant_mm(base_girth_mm: float, tip_girth_mm: float, length_mm: float) -> float:
    """Return how long the side of a cone cut off at its tip is [mm]."""
    return hypot(length_mm, (base_girth_mm - tip_girth_mm) / (2 * pi))


def cone_area_mm2(base_girth_mm: float, tip_girth_mm: float, length_mm: float) -> float:
    """Return the skin of a cone cut off at its tip, without its ends [mm2].

    Notes
    -----
    Half the sum of the girths times the slant, exact.

    Examples
    --------
    >>> round(cone_area_mm2(65.0, 65.0, 55.0))
    3575
    """
    return (base_girth_mm + tip_girth_mm) / 2 * slant_mm(base_girth_mm, tip_girth_mm, length_mm)


def cone(
    name: str, *, base_girth_mm: float, tip_girth_mm: float, length_mm: float, seam_mm: float = 0.0
) -> FlatPattern:
    """Unroll a cone cut off at its tip: a sector of a ring, tip upwards.

    Parameters
    ----------
    name
        What it is for.
    base_girth_mm, tip_girth_mm, length_mm
        Girths at both ends and height along the axis; the base is the larger. [mm]
    seam_mm
        Skin turned in at the right-hand seam. [mm]

    Notes
    -----
    With slant s the radii of the ring are s C1 / (C1 - C2) and s C2 / (C1 - C2), and its angle
    (C1 - C2) / s. Girths that agree give a rectangle.
    """
    given = f"girths of {base_girth_mm} and {tip_girth_mm} mm over {length_mm} mm"
    allowed = "a base not smaller than the tip, all above 0, and a seam not below 0"
    _demand(0 < tip_girth_mm <= base_girth_mm and length_mm > 0 and seam_mm >= 0, given, allowed)
    if base_girth_mm - tip_girth_mm < 1e-6:
        return cylinder(name, girth_mm=base_girth_mm, length_mm=length_mm, seam_mm=seam_mm)
    slant = slant_mm(base_girth_mm, tip_girth_mm, length_mm)
    turn_rad = (base_girth_mm - tip_girth_mm) / slant
    outer, inner = base_girth_mm / turn_rad, tip_girth_mm / turn_rad
    base, tip = _arc(outer, turn_rad, outer), _arc(inner, turn_rad, outer)
    across = (seam_mm * cos(turn_rad / 2), seam_mm * sin(turn_rad / 2))
    strip = [(end[0] + across[0], end[1] + across[1]) for end in (base[-1], tip[-1])]
    outline = [*base, *(strip if seam_mm else ()), *reversed(tip)]
    return FlatPattern(
        name=name, outline=tuple(outline), lines=_seam_line(base[-1], tip[-1], seam_mm)
    )


def _arc(radius: float, turn_rad: float, top: float) -> list[Corner]:
    """Return an arc about a centre above the drawing, from left to right."""
    step_rad = 2 * sqrt(2 * MOST_SAG_MM / radius)
    count = max(2, int(turn_rad / step_rad) + 2)
    angles = [turn_rad * (place / (count - 1) - 0.5) for place in range(count)]
    return [(radius * sin(angle), top - radius * cos(angle)) for angle in angles]


def wrap_around(name: str, levels: Sequence[tuple[float, float]]) -> FlatPattern:
    """Draw a flap that is laid round a core: a width at each height, about a middle line.

    Parameters
    ----------
    name
        What it is for.
    levels
        (height over the base, width there), from the base to the tip. [mm]
    """
    heights = [height for height, _ in levels]
    is_rising = all(low < high for low, high in pairwise(heights))
    is_wide = all(width > 0 for _, width in levels)
    _demand(
        len(levels) > 1 and is_rising and is_wide,
        f"levels {levels}",
        "rising heights, widths above 0",
    )
    left = [(-width / 2, height) for height, width in levels]
    right = [(width / 2, height) for height, width in levels]
    lines = tuple(
        PatternLine(start=start, end=end, words=f"{end[0] - start[0]:.0f} mm")
        for start, end in zip(left[1:-1], right[1:-1], strict=True)
    )
    return FlatPattern(
        name=name,
        outline=(*right, *reversed(left)),
        lines=lines,
        notes=("Both side edges border on the strip of skin that stays on the toe.",),
    )


def triangle(name: str, *, base_mm: float, height_mm: float) -> FlatPattern:
    """Draw a triangle with two equal sides, its base upwards at the web, its point to the body."""
    _demand(min(base_mm, height_mm) > 0, f"{base_mm} by {height_mm} mm", "sizes above 0")
    outline = ((0.0, 0.0), (base_mm / 2, height_mm), (-base_mm / 2, height_mm))
    return FlatPattern(name=name, outline=outline)


def z_plasty(name: str, *, limb_mm: float, angle_deg: float) -> FlatPattern:
    """Draw a Z of three equal limbs; the middle one runs upwards along the tight line.

    Parameters
    ----------
    name
        What it is for.
    limb_mm
        Each limb. [mm]
    angle_deg
        Between the middle limb and the two others. [deg]
    """
    _demand(limb_mm > 0 and 15 <= angle_deg <= 90, f"{limb_mm} mm, {angle_deg} deg", "15 to 90 deg")
    across, along = limb_mm * sin(radians(angle_deg)), limb_mm * cos(radians(angle_deg))
    foot, top = (0.0, 0.0), (0.0, limb_mm)
    right, left = (across, along), (-across, limb_mm - along)
    return FlatPattern(
        name=name,
        outline=(foot, right, top, left),
        lines=(
            PatternLine(start=foot, end=top, words="tight line", is_cut=True),
            PatternLine(start=foot, end=right, words="cut", is_cut=True),
            PatternLine(start=top, end=left, words="cut", is_cut=True),
        ),
        notes=("Cut the three full lines; the dotted edge only shows how far the flaps reach.",),
        up="along the tight line",
        outline_is_cut=False,
    )


def z_gain_share(angle_deg: float) -> float:
    """Return how much longer the middle line becomes once the flaps are exchanged [-].

    Notes
    -----
    The exchanged limb is the other diagonal of the Z's outline, sqrt(5 - 4 cos a) limbs long:
    exact for a flat sheet that stretches nowhere, which skin is not.

    Examples
    --------
    >>> [round(z_gain_share(angle), 2) for angle in (30, 45, 60)]
    [0.24, 0.47, 0.73]
    """
    return sqrt(5 - 4 * cos(radians(angle_deg))) - 1


def _seam_line(start: Corner, end: Corner, seam_mm: float) -> tuple[PatternLine, ...]:
    if seam_mm == 0:
        return ()
    return (PatternLine(start=start, end=end, words="seam"),)


def _demand(is_right: bool, given: str, allowed: str) -> None:
    if not is_right:
        msg = f"a pattern was asked for with {given}; allowed are {allowed}; measure again"
        raise UnitError(msg)
