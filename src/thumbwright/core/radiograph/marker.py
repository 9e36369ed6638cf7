"""The metal ball of known size beside the digit: where its shadow is and how wide it is.

A ball's shadow is found by what only a ball has: a round edge all the way, nothing but
metal inside it, and a profile at the edge that grows like the way through a sphere. A cone
beam stretches the shadow away from the central ray; its shorter axis carries the scale.
"""

from typing import Any

import numpy as np
from numpy.typing import NDArray

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import FilmError
from thumbwright.core.radiograph.edges import checked
from thumbwright.core.radiograph.image import BeamScale
from thumbwright.core.radiograph.marker_judgement import LEAST_EVIDENCE, MarkerFound, judged
from thumbwright.core.radiograph.marker_search import candidates

__all__ = ["MarkerFound", "find_all_markers", "find_marker"]

DIAMETERS_PX = (45.0, 420.0)
"""Diameters sought where none is stated [px]: 10 to 30 mm at 0.1 to 0.2 mm a pixel, with
room for an enlargement of 1.2; working assumption."""
NEEDED = ("a metal ball of known size beside the digit, wholly on the film, touching no metal",)


def find_marker(
    values: NDArray[Any],
    *,
    diameter_px_range: tuple[float, float] | None = None,
    beam_scale: BeamScale = BeamScale.NOT_STATED,
) -> MarkerFound | Unknown:
    """Find the one ball on a film.

    Parameters
    ----------
    values
        Grey values (rows, columns), larger is lighter; bone and metal are light.
    diameter_px_range
        Least and greatest diameter of the ball's shadow, where that is known. [px]
    beam_scale
        To what the grey values are proportional, where the header says so; it tells where in
        the blurred edge the limb lies.

    Returns
    -------
    MarkerFound | Unknown
        Unknown if there is no ball, if it is cut off, or if there are several in the range. A
        ball whose limb shows that it is one is preferred to shadows that may be discs.

    Raises
    ------
    FilmError
        If the grid is no film, or the range is none.
    """
    found, doubts = _searched(values, diameter_px_range, beam_scale)
    sure = tuple(ball for ball in found if ball.sphere_evidence >= LEAST_EVIDENCE)
    if len(sure or found) == 1:
        return (sure or found)[0]
    if found:
        named = "; ".join(ball.words for ball in found)
        return Unknown(
            reason=f"several balls are on the film: {named}",
            needed=("the size or place of the ball that is meant",),
        )
    if doubts:
        return Unknown(reason=doubts[0], needed=NEEDED)
    return Unknown(reason="no round metal shadow with its whole edge is on the film", needed=NEEDED)


def find_all_markers(
    values: NDArray[Any], *, diameter_px_range: tuple[float, float] | None = None
) -> tuple[MarkerFound, ...]:
    """Find every ball on a film, surest first; none is a valid answer."""
    return _searched(values, diameter_px_range, BeamScale.NOT_STATED)[0]


def _searched(
    values: NDArray[Any], wanted: tuple[float, float] | None, beam_scale: BeamScale
) -> tuple[tuple[MarkerFound, ...], tuple[str, ...]]:
    """Return the balls, and in words why round shadows that looked like balls are none."""
    film = checked(values)
    least, greatest = _range(wanted)
    balls: list[MarkerFound] = []
    doubts: list[str] = []
    for candidate in candidates(film, (0.92 * least, 1.08 * greatest)):
        verdict = judged(film, candidate, beam_scale)
        if isinstance(verdict, Unknown):
            doubts.append(verdict.reason)
        elif least <= verdict.diameter_px <= greatest and not _again(verdict, balls):
            balls.append(verdict)
    found = sorted(balls, key=lambda ball: -ball.confidence_prob)
    return tuple(found), tuple(doubt for doubt in doubts if doubt)


def _range(wanted: tuple[float, float] | None) -> tuple[float, float]:
    if wanted is None:
        return DIAMETERS_PX
    least, greatest = wanted
    if not 12.0 <= least < greatest <= 4000.0:
        msg = (
            f"a range of diameters was given as {least} to {greatest} px; allowed is 12 to 4,000 "
            "px, the smaller first; give the ball's size on this film"
        )
        raise FilmError(msg)
    return least, greatest


def _again(ball: MarkerFound, others: list[MarkerFound]) -> bool:
    return any(
        np.hypot(ball.centre[0] - other.centre[0], ball.centre[1] - other.centre[1])
        < 0.5 * other.diameter_px
        for other in others
    )
