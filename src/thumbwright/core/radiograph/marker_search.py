"""Where a ball may lie: gradients of a reduced film vote for the middle they point to."""

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.radiograph.edges import Grid, Line, gradient, reduced
from thumbwright.core.radiograph.landmarks import Point

SMALLEST_REDUCED_PX = 10.0
"""Diameter that the smallest ball sought keeps on the reduced film. [reduced px]"""
MOST_EDGES = 24000
"""Edge pixels that may vote; the steepest come first."""
MOST_CANDIDATES = 14
SECTORS = 32
LEAST_SHARE = 0.5
"""Share of the round below which nobody would speak of a ball. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """A place where a round edge may lie."""

    centre: Point
    radius_px: float
    seen_share: float
    """Share of the round of which an edge pixel points to the middle. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Edges:
    """Steep pixels of the reduced film with the way uphill."""

    rows: Line
    columns: Line
    down: Line
    right: Line
    height: Line
    """Change of the grey value per reduced pixel."""
    shape: tuple[int, int]


def candidates(
    values: NDArray[Any], diameter_px_range: tuple[float, float]
) -> tuple[Candidate, ...]:
    """Return the places most pointed at by gradients, best first.

    Parameters
    ----------
    values
        Grey values (rows, columns), larger is lighter.
    diameter_px_range
        Least and greatest diameter sought. [px]
    """
    least, greatest = diameter_px_range
    factor = max(1, min(8, int(least // SMALLEST_REDUCED_PX)))
    edges = _edges(reduced(values, factor))
    radii = np.arange(max(2.0, 0.5 * least / factor - 1.0), 0.5 * greatest / factor + 2.0)
    votes = _votes(edges, radii)
    found = [
        candidate
        for row, column in _tops(votes, radii[0])
        if (candidate := _judged(edges, radii, row, column, factor)) is not None
    ]
    return tuple(sorted(found, key=lambda one: -one.seen_share))


def _edges(grid: Grid) -> _Edges:
    smooth = ndimage.gaussian_filter(grid, 0.8)
    down, right = gradient(smooth)
    steep = np.hypot(down, right)
    flat = steep.ravel()
    sample = flat[:: max(1, flat.size // 60000)]
    floor = max(4.0 * float(np.median(sample)), 0.02 * float(np.ptp(grid)), 1e-9)
    if (over := int(np.count_nonzero(flat > floor))) > MOST_EDGES:
        floor = float(np.partition(flat[flat > floor], over - MOST_EDGES)[over - MOST_EDGES])
    rows, columns = np.nonzero(steep > floor)
    height = steep[rows, columns].astype(np.float64)
    return _Edges(
        rows=rows.astype(np.float64),
        columns=columns.astype(np.float64),
        down=down[rows, columns] / height,
        right=right[rows, columns] / height,
        height=height,
        shape=(grid.shape[0], grid.shape[1]),
    )


def _votes(edges: _Edges, radii: Line) -> Grid:
    """Return the votes; each radius counts alike, whatever the length of its round."""
    rows = np.rint(edges.rows[None] + radii[:, None] * edges.down[None]).astype(np.intp)
    columns = np.rint(edges.columns[None] + radii[:, None] * edges.right[None]).astype(np.intp)
    height, width = edges.shape
    inside = (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    weight = np.broadcast_to((1.0 / radii)[:, None], rows.shape)[inside]
    places = rows[inside] * width + columns[inside]
    counts = np.bincount(places, weights=weight, minlength=height * width)
    votes = counts.reshape(height, width).astype(np.float32)
    return np.asarray(ndimage.gaussian_filter(votes, 1.2))


def _tops(votes: Grid, apart: float) -> list[tuple[int, int]]:
    size = 2 * max(1, int(apart)) + 1
    tops = (votes == ndimage.maximum_filter(votes, size=size)) & (votes > 0)
    rows, columns = np.nonzero(tops)
    order = np.argsort(-votes[rows, columns])[:MOST_CANDIDATES]
    return [(int(rows[i]), int(columns[i])) for i in order]


def _judged(edges: _Edges, radii: Line, row: int, column: int, factor: int) -> Candidate | None:
    """Return the radius at which most of the round is seen, if enough of it is."""
    down, right = row - edges.rows, column - edges.columns
    distance = np.hypot(down, right)
    near = (distance >= radii[0] - 1) & (distance <= radii[-1] + 1)
    down, right, distance = down[near], right[near], distance[near]
    towards = (down * edges.down[near] + right * edges.right[near]) / distance
    straight = towards > 0.92
    ring = np.rint(distance[straight] - radii[0]).astype(np.intp) + 1
    turn = np.arctan2(down[straight], right[straight]) / (2 * np.pi) + 0.5
    sector = np.minimum((turn * SECTORS).astype(np.intp), SECTORS - 1)
    steep = np.zeros((radii.size + 4, SECTORS))
    np.maximum.at(steep, (ring, sector), edges.height[near][straight])
    wide = np.maximum(np.maximum(steep[:-2], steep[1:-1]), steep[2:])[: radii.size]
    share = (wide > 0).mean(axis=1)
    # the mean, since where fewer than half of the sectors were kept every median is nothing
    best = int(np.argmax(wide.mean(axis=1) * (share >= 0.9 * share.max())))
    if share[best] < LEAST_SHARE:
        return None
    return Candidate(
        centre=(factor * column + (factor - 1) / 2, factor * row + (factor - 1) / 2),
        radius_px=float(factor * (radii[0] + best)),
        seen_share=float(share[best]),
    )
