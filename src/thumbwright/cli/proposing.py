"""The command that proposes joint lines and bone ends along a rough line."""

from pathlib import Path

import click

from thumbwright.bootstrap import read_list
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.detection import RayProposal, propose_along
from thumbwright.core.radiograph.film_reading import read_out
from thumbwright.core.radiograph.landmarks import RAYS, FilmNotes, Point, Ray, RayName
from thumbwright.interchange.films_folder import read_films


def propose_along_line(
    film: str, folder: Path, ray: str, line: tuple[float, float, float, float]
) -> None:
    """Print what is proposed, as a placement that is not confirmed."""
    found = proposed(folder, film, RAYS[RayName(ray)], ((line[0], line[1]), (line[2], line[3])))
    click.echo(f"Proposed on {film}, {ray}; a person looks at each point before it counts:")
    for point in found.points:
        click.echo(
            f"  {point.landmark.value:<26} column {point.at[0]:8.1f}  row {point.at[1]:8.1f}  "
            f"confidence {point.confidence_prob:.0%}"
        )


def proposed(folder: Path, film_name: str, ray: Ray, line: tuple[Point, Point]) -> RayProposal:
    """Propose the points of a ray along a rough line on one film of a folder.

    Raises
    ------
    PlanError
        If the film is not in the list, has no millimetres, or shows nothing along the line.
    """
    notes = read_list(folder)
    named = [note for note in notes.films if note.file == film_name]
    if not named:
        there = ", ".join(note.file for note in notes.films)
        msg = f"the film {film_name} was asked for; the list holds {there}; name one of them"
        raise PlanError(msg)
    film = read_films(folder, FilmNotes(films=tuple(named)))[film_name]
    reading = read_out(film, named[0])
    if isinstance(reading.scale, Unknown):
        msg = f"no point can be proposed on {film_name}: {reading.scale}"
        raise PlanError(msg)
    found = propose_along(film.values, line[0], line[1], ray, mm_per_px=reading.scale.column_mm)
    if isinstance(found, Unknown):
        msg = f"no point is proposed on {film_name}: {found}"
        raise PlanError(msg)
    return found
