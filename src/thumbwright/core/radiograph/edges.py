"""Grey values between pixels, reduced films, gradients and sub-pixel peaks."""

from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from thumbwright.core.foundations.errors import FilmError

Grid = NDArray[np.float32]
"""Grey values or gradients (rows, columns) in single precision."""
Line = NDArray[Any]
"""Numbers in one or two directions, as each use says; places, shares and flags alike."""


def checked(values: NDArray[Any]) -> NDArray[Any]:
    """Return the grid if it is one of finite numbers.

    Raises
    ------
    FilmError
        If the grid has not two directions, is smaller than 16 by 16, or holds no number.
    """
    if values.ndim != 2 or min(values.shape) < 16:
        msg = (
            f"grey values were given with the shape {values.shape}; allowed is one grid (rows, "
            "columns) of 16 by 16 or more; give one film at a time"
        )
        raise FilmError(msg)
    if values.dtype.kind not in "uif" or (
        values.dtype.kind == "f" and not np.isfinite(values).all()
    ):
        msg = (
            f"grey values were given as {values.dtype} with gaps or of another kind; allowed are "
            "finite whole or real numbers; read the film anew"
        )
        raise FilmError(msg)
    return values


def reduced(values: NDArray[Any], factor: int) -> Grid:
    """Return the mean of blocks of ``factor`` by ``factor`` pixels.

    Pixel ``(i, j)`` of the answer lies at ``factor * i + (factor - 1) / 2`` of the film.
    """
    rows, columns = (length // factor for length in values.shape)
    exact = np.uint32 if values.dtype.kind == "u" else np.float64
    block = values[: rows * factor].reshape(rows, factor, -1).sum(axis=1, dtype=exact)
    answer = block[:, 0 : columns * factor : factor].astype(np.float32)
    for offset in range(1, factor):
        answer += block[:, offset : columns * factor : factor]
    return np.asarray(answer / np.float32(factor * factor), dtype=np.float32)


def gradient(grid: Grid) -> tuple[Grid, Grid]:
    """Return the change of the grey value from row to row and from column to column."""
    down, right = np.gradient(grid, axis=(0, 1))
    return np.asarray(down), np.asarray(right)


def sampled(grid: Grid, rows: Line, columns: Line) -> Line:
    """Return grey values between pixels by straight interpolation; the edge value outside."""
    found = ndimage.map_coordinates(
        grid, (rows, columns), order=1, mode="nearest", output=np.float64
    )
    return np.asarray(found, dtype=np.float64)


def peak_offset(before: Line, at: Line, after: Line) -> Line:
    """Return where a parabola through three neighbours has its top, from the middle one [steps].

    Flat triples give 0; the answer never leaves the half step to either side.
    """
    bend = before - 2 * at + after
    flat = np.abs(bend) < 1e-12
    offset = np.where(flat, 0.0, 0.5 * (before - after) / np.where(flat, 1.0, bend))
    return np.clip(offset, -0.5, 0.5)
