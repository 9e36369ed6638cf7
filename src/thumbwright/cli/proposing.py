"""The command that proposes joint lines and bone ends along a rough line."""

from dataclasses import dataclass
from math import isfinite
from pathlib import Path

import click

from thumbwright.bootstrap import read_list
from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.detection import RayProposal, propose_along
from thumbwright.core.radiograph.film_reading import FilmReading, read_out
from thumbwright.core.radiograph.image import Film
from thumbwright.core.radiograph.landmarks import RAYS, FilmNotes, Point, Ray, RayName
from thumbwright.interchange.films_folder import read_films


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """What is to be proposed."""

    ray: str
    """Name of the ray."""
    start: Point
    """Roughly the base of the first bone (column, row). [px]"""
    end: Point
    """Roughly the end of the last bone. [px]"""
    bones: int | None = None
    """How many bones of the ray are there, from the body on; all if not given."""
    stump: bool = False
    """Whether the last of them was cut."""


def propose_along_line(film: str, folder: Path, asked: Asked) -> None:
    """Print what is proposed, as a placement that is not confirmed."""
    found = proposed(folder, film, asked)
    click.echo(f"Proposed on {film}, {asked.ray}; a person looks at each point before it counts:")
    for point in found.points:
        click.echo(
            f"  {point.landmark.value:<26} column {point.point[0]:8.1f}  "
            f"row {point.point[1]:8.1f}  confidence {point.confidence_prob:.0%}"
        )
    click.echo(
        "\nTo keep them, put this under the film in films.toml. It is read and never used until a "
        "person\nhas mended each point and written confirmed = true.\n"
    )
    click.echo(as_placement(found))


def as_placement(found: RayProposal) -> str:
    """Return the points as an entry for the list of films, not confirmed."""
    points = [
        f"points.{point.landmark.value} = [{point.point[0]:.1f}, {point.point[1]:.1f}]"
        for point in found.points
    ]
    head = ("[[films.placements]]", 'observer = "program"', "confirmed = false")
    return "\n".join((*head, *points))


def proposed(folder: Path, film_name: str, asked: Asked) -> RayProposal:
    """Propose the points of a ray along a rough line on one film of a folder.

    Raises
    ------
    PlanError
        If the film is not in the list, shows another part, has no millimetres, or shows nothing
        along the line, or the line leaves the film.
    """
    ray = RAYS[RayName(asked.ray)]
    film, reading = _read(folder, film_name)
    if ray.region is not reading.note.region:
        msg = (
            f"the {asked.ray} was asked for on {film_name}, which shows a "
            f"{reading.note.region.value}; allowed is a film of a {ray.region.value}; name one"
        )
        raise PlanError(msg)
    if isinstance(reading.scale, Unknown):
        msg = f"no point can be proposed on {film_name}: {reading.scale}"
        raise PlanError(msg)
    _demand_inside(film, asked)
    present = ray.bones[: _bones_of(ray, asked)]
    found = propose_along(
        film.values,
        asked.start,
        asked.end,
        ray,
        mm_per_px=reading.scale.column_mm,
        present=present,
        ends_in_stump=asked.stump or len(present) < len(ray.bones),
    )
    if isinstance(found, Unknown):
        msg = f"no point is proposed on {film_name}: {found}"
        raise PlanError(msg)
    return found


def _read(folder: Path, film_name: str) -> tuple[Film, FilmReading]:
    notes = read_list(folder)
    named = [note for note in notes.films if note.file == film_name]
    if not named:
        there = ", ".join(note.file for note in notes.films)
        msg = f"the film {film_name} was asked for; the list holds {there}; name one of them"
        raise PlanError(msg)
    film = read_films(folder, FilmNotes(films=tuple(named)))[film_name]
    return film, read_out(film, named[0])


def _demand_inside(film: Film, asked: Asked) -> None:
    rows, columns = film.values.shape
    for column, row in (asked.start, asked.end):
        finite = isfinite(column) and isfinite(row)
        if not (finite and 0 <= column <= columns - 1 and 0 <= row <= rows - 1):
            msg = (
                f"an end of the line was given at column {column:g}, row {row:g}; allowed are "
                f"columns 0 to {columns - 1} and rows 0 to {rows - 1} of {film.name}; give column "
                "before row"
            )
            raise PlanError(msg)


def _bones_of(ray: Ray, asked: Asked) -> int:
    most = len(ray.bones)
    if asked.bones is not None and asked.bones > most:
        msg = (
            f"{asked.bones} bones were said to be there; the {asked.ray} has {most}; allowed are "
            f"1 to {most}; count from the body on"
        )
        raise PlanError(msg)
    return asked.bones or most
