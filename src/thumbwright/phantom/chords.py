"""The way of every ray of a film through a solid, in closed form.

Along a ray the parameter is the height ``z`` over the detector, so stretches of different
solids can be compared; multiplying by the ray's slant gives millimetres along the ray.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.errors import FilmError
from thumbwright.phantom.projection import Geometry
from thumbwright.phantom.solids import Between, Frame, Piece, Round, Shape

Sheet = NDArray[np.float64]
"""One number per ray of a window (rows, columns)."""
Stretch = tuple[Sheet, Sheet]
"""Lowest and highest height inside; the first above the second where the ray misses [mm]."""
Image = NDArray[np.float32]
"""One number per pixel of the film (rows, columns)."""
Window = tuple[slice, slice]
"""Rows and columns of the film."""
LEAST_SLOPE = 1e-12
"""Below this a ray counts as parallel to a plane, and is leaned by this much instead."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rays:
    """Rays in the frame of a solid: position ``at`` and change ``by`` per height, for u, v, w."""

    at: tuple[Sheet, Sheet, Sheet]
    by: tuple[Sheet, Sheet, Sheet]
    height_mm: float
    """Height over the detector at which the positions hold."""


def window_of(geometry: Geometry, frame: Frame, shape: Shape) -> Window | None:
    """Return the part of the film on which a solid's shadow falls, None if it misses it."""
    corners = np.array(
        [
            frame.place(u, v, w)
            for u in shape.box.u_mm
            for v in shape.box.v_mm
            for w in shape.box.w_mm
        ]
    )
    pixels = np.array([geometry.pixel_of((float(x), float(y), float(z))) for x, y, z in corners])
    low = np.maximum(np.floor(pixels.min(axis=0)), 0).astype(int)
    high = np.minimum(np.ceil(pixels.max(axis=0)) + 1, [geometry.columns, geometry.rows])
    if np.any(low >= high):
        return None
    return slice(int(low[1]), int(high[1])), slice(int(low[0]), int(high[0]))


def rays_of(geometry: Geometry, frame: Frame, window: Window) -> Rays:
    """Return the rays of a window in the frame of a solid."""
    x_mm = geometry.columns_mm[window[1]][None, :]
    y_mm = geometry.rows_mm[window[0]][:, None]
    return rays_to(geometry, frame, x_mm, y_mm)


def rays_to(geometry: Geometry, frame: Frame, x_mm: Sheet, y_mm: Sheet) -> Rays:
    """Return the rays that end at places of the detector, in the frame of a solid.

    Parameters
    ----------
    geometry, frame
        Source and detector, and where the solid stands.
    x_mm, y_mm
        Places on the detector; two grids that broadcast. [mm]
    """
    source = geometry.source_to_detector_mm
    height = float(frame.origin[2])
    slope_x = (geometry.source_mm[0] - x_mm) / source
    slope_y = (geometry.source_mm[1] - y_mm) / source
    off_x = x_mm + height * slope_x - frame.origin[0]
    off_y = y_mm + height * slope_y - frame.origin[1]
    at = [axis[0] * off_x + axis[1] * off_y for axis in frame.axes]
    by = [axis[0] * slope_x + axis[1] * slope_y + axis[2] for axis in frame.axes]
    return Rays(at=(at[0], at[1], at[2]), by=(by[0], by[1], by[2]), height_mm=height)


def stretch_in(piece: Piece, rays: Rays) -> Stretch:
    """Return the stretch of each ray inside a piece, as heights over the detector [mm]."""
    if isinstance(piece, Round):
        return _in_round(piece, rays)
    return _in_between(piece, rays)


def _in_round(piece: Round, rays: Rays) -> Stretch:
    (u, v, w), (du, dv, dw) = rays.at, rays.by
    thin = 1 / piece.flatness**2
    square = du * du + thin * dv * dv - piece.square * dw * dw
    if float(square.min()) <= 0:
        msg = (
            "a bone or other solid was set so steeply that rays run along its flare; allowed are "
            "tilts well below upright; lay it flatter on the detector"
        )
        raise FilmError(msg)
    half = u * du + thin * v * dv - piece.square * w * dw - 0.5 * piece.linear * dw
    rest = u * u + thin * v * v - piece.constant - w * (piece.linear + piece.square * w)
    room = half * half - square * rest
    missed = room <= 0
    root = np.sqrt(np.where(missed, 0.0, room)) / square
    middle = rays.height_mm - half / square
    return np.where(missed, np.inf, middle - root), np.where(missed, -np.inf, middle + root)


def _in_between(piece: Between, rays: Rays) -> Stretch:
    at = sum(share * sheet for share, sheet in zip(piece.normal, rays.at, strict=True) if share)
    by = sum(share * sheet for share, sheet in zip(piece.normal, rays.by, strict=True) if share)
    level, slope = np.asarray(at), np.asarray(by)
    slope = np.where(np.abs(slope) < LEAST_SLOPE, LEAST_SLOPE, slope)
    one = (piece.low_mm - level) / slope + rays.height_mm
    other = (piece.high_mm - level) / slope + rays.height_mm
    return np.minimum(one, other), np.maximum(one, other)


def stretches(shape: Shape, rays: Rays) -> list[tuple[int, Stretch]]:
    """Return, for every term of a solid, its sign and the stretch inside it [mm]."""
    known: dict[Piece, Stretch] = {}
    answer: list[tuple[int, Stretch]] = []
    for sign, pieces in shape.terms:
        for piece in pieces:
            if piece not in known:
                known[piece] = stretch_in(piece, rays)
        low, high = known[pieces[0]]
        for piece in pieces[1:]:
            low = np.maximum(low, known[piece][0])
            high = np.minimum(high, known[piece][1])
        answer.append((sign, (low, high)))
    return answer


def height_inside(shape: Shape, rays: Rays) -> Sheet:
    """Return how much height each ray climbs inside a solid [mm]; times the slant is the way."""
    total: Sheet = np.zeros(np.broadcast_shapes(*(sheet.shape for sheet in rays.at)))
    for sign, (low, high) in stretches(shape, rays):
        total += sign * np.maximum(high - low, 0.0)
    return total


def slant(geometry: Geometry, x_mm: Sheet, y_mm: Sheet) -> Sheet:
    """Return the millimetres along a ray per millimetre of height [-]."""
    slope_x = (geometry.source_mm[0] - x_mm) / geometry.source_to_detector_mm
    slope_y = (geometry.source_mm[1] - y_mm) / geometry.source_to_detector_mm
    return np.sqrt(1 + slope_x**2 + slope_y**2)


class Union:
    """Stretches of overlapping convex solids, joined ray by ray so that nothing counts twice.

    Each layer holds at most one stretch per ray; stretches of one ray in different layers are
    apart. Layers are added as they are needed.
    """

    def __init__(self, geometry: Geometry) -> None:
        self._size = (geometry.rows, geometry.columns)
        self._layers: list[tuple[Image, Image]] = []

    def add(self, window: Window, stretch: Stretch) -> None:
        """Join one more convex solid."""
        low, high = stretch[0].astype(np.float32), stretch[1].astype(np.float32)
        for lows, highs in self._layers:
            there_low, there_high = lows[window], highs[window]
            touching = (low <= there_high) & (high >= there_low) & (low < high)
            np.minimum(low, there_low, out=low, where=touching)
            np.maximum(high, there_high, out=high, where=touching)
            there_low[touching], there_high[touching] = np.inf, -np.inf
        self._put(window, low, high)

    def _put(self, window: Window, low: Image, high: Image) -> None:
        """Put each ray's stretch into the first layer that is free there."""
        rest = low < high
        for lows, highs in self._layers:
            free = rest & (lows[window] > highs[window])
            np.copyto(lows[window], low, where=free)
            np.copyto(highs[window], high, where=free)
            rest &= ~free
        if rest.any():
            lows = np.full(self._size, np.inf, np.float32)
            highs = np.full(self._size, -np.inf, np.float32)
            np.copyto(lows[window], low, where=rest)
            np.copyto(highs[window], high, where=rest)
            self._layers.append((lows, highs))

    def height_inside(self) -> Image:
        """Return how much height each ray climbs inside the union [mm]."""
        total: Image = np.zeros(self._size, np.float32)
        for lows, highs in self._layers:
            total += np.maximum(highs - lows, 0)
        return total
