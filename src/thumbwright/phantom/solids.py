"""Solids whose way through a ray is exact, and how they are joined, cut and hollowed.

Each solid has its own frame of three axes: ``u`` across, ``v`` through, ``w`` along. Its
pieces are round or elliptic about ``w``, or lie between two parallel planes, so that each
ray meets a piece in one stretch. A solid is a signed sum of intersections of pieces: with
``1_A`` the function that is 1 inside A and 0 outside, ``1_(A or B) = 1_A + 1_B - 1_A 1_B`` and
``1_(A without B) = 1_A - 1_A 1_B``. The way through the solid is then the signed sum of the
ways through the intersections, with no approximation.
"""

from dataclasses import dataclass
from math import inf, sqrt

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.projection import Vector


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Round:
    """All points with ``u^2 + (v / flatness)^2 <= constant + linear w + square w^2``.

    Notes
    -----
    With ``square`` below 0 an ellipsoid, with 0 a paraboloid or cylinder, above 0 a waisted
    hyperboloid of one sheet or a cone. The last two are met in one stretch only by rays
    steeper to the axis than the flare of the surface; others are refused when projected.
    """

    constant: float
    """[mm^2]"""
    linear: float = 0.0
    """[mm]"""
    square: float = 0.0
    """[-]"""
    flatness: float = 1.0
    """Thickness over width [-]."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Between:
    """All points between two parallel planes: ``low <= normal . (u, v, w) <= high``."""

    low_mm: float = -inf
    high_mm: float = inf
    normal: tuple[float, float, float] = (0.0, 0.0, 1.0)


Piece = Round | Between


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Frame:
    """Where a solid stands: its origin, and its axes u, v, w as rows."""

    origin: Vector
    """[mm]"""
    axes: NDArray[np.float64]

    def place(self, u_mm: float, v_mm: float, w_mm: float) -> Vector:
        """Return a point given in the solid's own frame [mm]."""
        return np.asarray(self.origin + np.array([u_mm, v_mm, w_mm]) @ self.axes)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Box:
    """Bounds of a solid in its own frame, each from low to high [mm]."""

    u_mm: tuple[float, float]
    v_mm: tuple[float, float]
    w_mm: tuple[float, float]

    def joined(self, other: "Box") -> "Box":
        """Return bounds that hold both."""
        return Box(
            u_mm=_joined(self.u_mm, other.u_mm),
            v_mm=_joined(self.v_mm, other.v_mm),
            w_mm=_joined(self.w_mm, other.w_mm),
        )


def _joined(one: tuple[float, float], other: tuple[float, float]) -> tuple[float, float]:
    return min(one[0], other[0]), max(one[1], other[1])


Terms = tuple[tuple[int, tuple[Piece, ...]], ...]
"""Signs, each with the pieces whose intersection it counts."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """A solid in its own frame."""

    terms: Terms
    box: Box

    def cut(self, piece: Piece) -> "Shape":
        """Return what lies in the piece as well."""
        return Shape(terms=_cut(self.terms, (piece,)), box=self.box)

    def without(self, *pieces: Piece) -> "Shape":
        """Return what lies outside the intersection of the pieces."""
        removed = _negative(_cut(self.terms, pieces))
        return Shape(terms=self.terms + removed, box=self.box)

    def joined(self, other: "Shape") -> "Shape":
        """Return what lies in either, counted once."""
        both: Terms = tuple(
            (-one_sign * other_sign, one + another)
            for one_sign, one in self.terms
            for other_sign, another in other.terms
            if _may_meet(one + another)
        )
        return Shape(terms=self.terms + other.terms + both, box=self.box.joined(other.box))

    def holds(self, u_mm: float, v_mm: float, w_mm: float) -> bool:
        """Say whether a point in the solid's frame lies inside it."""
        count = sum(
            sign * all(_holds(piece, (u_mm, v_mm, w_mm)) for piece in pieces)
            for sign, pieces in self.terms
        )
        return count > 0


def convex(*pieces: Piece, box: Box) -> Shape:
    """Return the intersection of pieces."""
    return Shape(terms=((1, pieces),), box=box)


def _cut(terms: Terms, pieces: tuple[Piece, ...]) -> Terms:
    cut = ((sign, inside + pieces) for sign, inside in terms)
    return tuple((sign, inside) for sign, inside in cut if _may_meet(inside))


def _negative(terms: Terms) -> Terms:
    return tuple((-sign, inside) for sign, inside in terms)


def _may_meet(pieces: tuple[Piece, ...]) -> bool:
    """Say whether pieces can have a point in common, by their reach along the axis alone."""
    reaches = [_reach(piece) for piece in pieces]
    return max(low for low, _ in reaches) <= min(high for _, high in reaches)


def _reach(piece: Piece) -> tuple[float, float]:
    """Return from where to where along w a piece reaches [mm]."""
    if isinstance(piece, Between):
        along = piece.normal == (0.0, 0.0, 1.0)
        return (piece.low_mm, piece.high_mm) if along else (-inf, inf)
    if piece.square >= 0:
        return -inf, inf
    middle = -piece.linear / (2 * piece.square)
    half = sqrt(max(middle**2 - piece.constant / piece.square, 0.0))
    return middle - half, middle + half


def _holds(piece: Piece, point: tuple[float, float, float]) -> bool:
    u_mm, v_mm, w_mm = point
    if isinstance(piece, Round):
        reach = piece.constant + piece.linear * w_mm + piece.square * w_mm**2
        return u_mm**2 + (v_mm / piece.flatness) ** 2 <= reach
    level = float(np.dot(piece.normal, point))
    return piece.low_mm <= level <= piece.high_mm


def ellipsoid(
    *, middle_mm: float, half_length_mm: float, half_width_mm: float, flatness: float = 1.0
) -> Round:
    """Return an ellipsoid on the axis; a sphere if both halves are equal and flatness is 1."""
    ratio = (half_width_mm / half_length_mm) ** 2
    return Round(
        constant=half_width_mm**2 - ratio * middle_mm**2,
        linear=2 * ratio * middle_mm,
        square=-ratio,
        flatness=flatness,
    )


def dome(*, top_mm: float, radius_mm: float, flatness: float = 1.0, upwards: bool = True) -> Round:
    """Return a paraboloid that ends on the axis at ``top_mm``.

    Parameters
    ----------
    top_mm
        Its farthest point, on the axis. [mm]
    radius_mm
        Radius of curvature there, across. [mm]
    flatness
        Thickness over width. [-]
    upwards
        Whether the top looks along +w.
    """
    slope = -2 * radius_mm if upwards else 2 * radius_mm
    return Round(constant=-slope * top_mm, linear=slope, flatness=flatness)


def shaft(
    *, places_mm: tuple[float, float, float], radii_mm: tuple[float, float, float], flatness: float
) -> Round:
    """Return a waisted shaft that has three given half widths at three places along its axis.

    Raises
    ------
    FilmError
        If the shaft would pinch off between the first and the last place.
    """
    square, linear, constant = np.polyfit(places_mm, np.square(radii_mm), 2)
    checks = np.linspace(places_mm[0], places_mm[2], 33)
    thinnest = float(np.min(np.polyval([square, linear, constant], checks)))
    if thinnest < 0.2 * min(radii_mm) ** 2:
        msg = (
            f"a shaft was given with half widths {radii_mm} mm at {places_mm} mm, which pinches "
            "off between; allowed is a milder waist; widen the waist"
        )
        raise FilmError(msg)
    return Round(
        constant=float(constant), linear=float(linear), square=float(square), flatness=flatness
    )


def round_box(half_width_mm: float, flatness: float, along_mm: tuple[float, float]) -> Box:
    """Return bounds of a piece that is round about the axis."""
    thick = half_width_mm * flatness
    return Box(u_mm=(-half_width_mm, half_width_mm), v_mm=(-thick, thick), w_mm=along_mm)


def block(*, half_mm: tuple[float, float, float], rounding_share: float | None = None) -> Shape:
    """Return a block about the origin of its frame, its corners taken off by an ellipsoid.

    Parameters
    ----------
    half_mm
        Half sizes along u, v, w. [mm]
    rounding_share
        Half axes of the ellipsoid over the half sizes; sqrt(3) touches the corners; None
        leaves the corners sharp. [-]
    """
    half_u, half_v, half_w = half_mm
    sides: tuple[Piece, ...] = (
        Between(low_mm=-half_u, high_mm=half_u, normal=(1.0, 0.0, 0.0)),
        Between(low_mm=-half_v, high_mm=half_v, normal=(0.0, 1.0, 0.0)),
        Between(low_mm=-half_w, high_mm=half_w),
    )
    box = Box(u_mm=(-half_u, half_u), v_mm=(-half_v, half_v), w_mm=(-half_w, half_w))
    if rounding_share is None:
        return convex(*sides, box=box)
    corners = ellipsoid(
        middle_mm=0.0,
        half_length_mm=rounding_share * half_w,
        half_width_mm=rounding_share * half_u,
        flatness=half_v / half_u,
    )
    return convex(corners, *sides, box=box)
