"""Time and accuracy of finding the ball on a film of 3,000 by 2,400 pixels, against a peer.

Run as ``python benchmarks/marker.py``. The peer is scikit-image's circle transform (edges by
Canny, votes by Hough), in two ways: on the film reduced four times, where it has to search as we
do, and at full size on a region that is given to it with the ball's true size to a twentieth.
Both are timed in turns in one run, so that the ratio holds on any machine; the shortest of the
turns counts. The run fails if ours takes longer than the peer on the reduced film, or lies
farther off than it does at full size.
"""

import sys
from collections.abc import Callable
from dataclasses import dataclass
from math import dist
from time import perf_counter
from typing import Any

import numpy as np
from numpy.typing import NDArray
from skimage.feature import canny
from skimage.transform import hough_circle, hough_circle_peaks

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import BeamScale
from thumbwright.core.radiograph.marker import MarkerFound, find_marker
from thumbwright.phantom.films import PhantomFilm, expose
from thumbwright.phantom.objects import LeadLetter, MetalBall
from thumbwright.phantom.physics import Exposure
from thumbwright.phantom.projection import centred_geometry
from thumbwright.phantom.scene import hand_scene

FIELD_MM, PITCH_MM = (192.0, 240.0), 0.08
BALL_MM = 20.0
REDUCED = 4
TURNS = 5
SEEN = (0.9 * BALL_MM / PITCH_MM, 1.35 * BALL_MM / PITCH_MM)
"""Range of diameters that is looked through [px]: 0 to 26 cm over a detector at a metre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Circle:
    """What was found."""

    centre: tuple[float, float]
    diameter_px: float


def main() -> None:
    """Print times, ratios and errors; end with an error if we are slower or farther off."""
    film = made_film()
    shadow = film.truth.balls[0].shadow
    light = film.light
    steps: dict[str, Callable[[], Circle]] = {
        "ours, whole film": lambda: ours(light),
        "peer, film reduced 4 times": lambda: peer_reduced(light),
        "peer, region given, full size": lambda: peer_region(light, shadow.centre),
    }
    found, seconds = timed(steps)
    size = f"{light.shape[0]} by {light.shape[1]} pixels"
    print(f"| {size} | ms | centre off [px] | diameter off [px] |")
    print("|---|---|---|---|")
    away: dict[str, float] = {}
    for name, circle in found.items():
        away[name] = dist(circle.centre, shadow.centre)
        wide = circle.diameter_px - 2 * shadow.semi_minor_px
        print(f"| {name} | {1000 * seconds[name]:.0f} | {away[name]:.2f} | {wide:+.2f} |")
    mine, reduced, region = steps
    print(f"ours / peer on the reduced film: {seconds[mine] / seconds[reduced]:.2f} of its time")
    print(f"ours / peer on the region:       {seconds[mine] / seconds[region]:.2f} of its time")
    if seconds[mine] > seconds[reduced]:
        sys.exit("slower than the peer on the reduced film")
    if away[mine] > away[region]:
        sys.exit("farther off than the peer at full size")


def made_film() -> PhantomFilm:
    """Return an invented hand with a ball and a letter, its scale wide enough for metal."""
    scene = hand_scene(
        side=Side.RIGHT,
        balls=(MetalBall(diameter_mm=BALL_MM, centre_mm=(-72.3, -28.1, 26.0)),),
        things=(LeadLetter(letter="R", centre_mm=(-70.0, 130.0, 10.0)),),
        field_mm=FIELD_MM,
    )
    geometry = centred_geometry(field_mm=FIELD_MM, pitch_mm=(PITCH_MM, PITCH_MM))
    return expose(scene, geometry, Exposure(decades=3.2), np.random.default_rng(7))


def timed(
    steps: dict[str, Callable[[], Circle]],
) -> tuple[dict[str, Circle], dict[str, float]]:
    """Take every step in turns; return what was found and the shortest time of each [s]."""
    found: dict[str, Circle] = {}
    seconds = dict.fromkeys(steps, float("inf"))
    for _ in range(TURNS):
        for name, step in steps.items():
            start = perf_counter()
            found[name] = step()
            seconds[name] = min(seconds[name], perf_counter() - start)
    return found, seconds


def ours(light: NDArray[np.uint16]) -> Circle:
    """Find the ball as the program does, told its range of sizes."""
    found = find_marker(light, diameter_px_range=SEEN, beam_scale=BeamScale.LOGARITHMIC)
    if not isinstance(found, MarkerFound):
        sys.exit(f"no ball: {found}")
    return Circle(centre=found.centre, diameter_px=found.diameter_px)


def peer_reduced(light: NDArray[np.uint16]) -> Circle:
    """Find it by the peer on means of blocks, at every radius of the same range."""
    rows, columns = (length // REDUCED for length in light.shape)
    whole = light[: rows * REDUCED, : columns * REDUCED]
    small = whole.reshape(rows, REDUCED, columns, REDUCED).mean(axis=(1, 3))
    radii = np.arange(int(SEEN[0] / 2 / REDUCED), int(SEEN[1] / 2 / REDUCED) + 2)
    column, row, radius = voted(small, radii)
    middle = (REDUCED - 1) / 2
    return Circle(
        centre=(REDUCED * column + middle, REDUCED * row + middle),
        diameter_px=2 * REDUCED * radius,
    )


def peer_region(light: NDArray[np.uint16], near: tuple[float, float]) -> Circle:
    """Find it by the peer in a square of twice its width, with its size known to a twentieth."""
    half = int(BALL_MM / PITCH_MM)
    left, top = max(0, round(near[0]) - half), max(0, round(near[1]) - half)
    part = light[top : top + 2 * half, left : left + 2 * half].astype(np.float64)
    usual = 0.5 * 1.03 * BALL_MM / PITCH_MM
    column, row, radius = voted(part, np.arange(int(0.95 * usual), int(1.05 * usual) + 2))
    return Circle(centre=(column + left, row + top), diameter_px=2 * radius)


def voted(grey: NDArray[Any], radii: NDArray[np.intp]) -> tuple[float, float, float]:
    """Return column, row and radius of the circle with most votes."""
    edges = canny(grey / grey.max(), sigma=2.0)  # type: ignore[no-untyped-call]
    votes = hough_circle(edges, radii)  # type: ignore[no-untyped-call]
    best = hough_circle_peaks(votes, radii, total_num_peaks=1)  # type: ignore[no-untyped-call]
    _, columns, rows, found = best
    return float(columns[0]), float(rows[0]), float(found[0])


if __name__ == "__main__":
    main()
