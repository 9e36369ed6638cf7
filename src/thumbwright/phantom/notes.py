"""What a person would note of a phantom film: the film's note, and points placed by hand."""

import numpy as np

from thumbwright.core.radiograph.landmarks import Ball, FilmNote, Landmark, Placement
from thumbwright.phantom.films import PhantomFilm
from thumbwright.phantom.truth import Truth


def film_note(
    film: PhantomFilm,
    file: str,
    *,
    placements: tuple[Placement, ...] = (),
    ball_height_tolerance_mm: float = 5.0,
) -> FilmNote:
    """Return the note of someone who knows the ball's size, but its height only as asked.

    Parameters
    ----------
    film
        The film.
    file
        File name under which it is stored.
    placements
        Points placed on it.
    ball_height_tolerance_mm
        Half width within which the ball was laid at the height of the bones. [mm]
    """
    balls = film.truth.balls
    ball = Ball(diameter_mm=balls[0].diameter_mm, above_bone_tolerance_mm=ball_height_tolerance_mm)
    return FilmNote(
        file=file,
        region=film.truth.region,
        side=film.truth.side,
        view=film.view,
        ball=ball if len(balls) == 1 else None,
        placements=placements,
    )


def placed_by_hand(
    truth: Truth,
    rng: np.random.Generator,
    *,
    observer: str,
    scatter_px: float,
    landmarks: tuple[Landmark, ...] | None = None,
) -> Placement:
    """Return one round of points placed by an observer who scatters about the truth.

    Parameters
    ----------
    truth
        The truth of the film.
    rng
        Chance.
    observer
        Initials.
    scatter_px
        Standard deviation along rows and along columns. [px]
    landmarks
        Those to place; all that exist if none are given.
    """
    return Placement(
        observer=observer,
        points={
            landmark: (
                truth.pixel(landmark)[0] + scatter_px * float(rng.standard_normal()),
                truth.pixel(landmark)[1] + scatter_px * float(rng.standard_normal()),
            )
            for landmark in (truth.points if landmarks is None else landmarks)
        },
    )
