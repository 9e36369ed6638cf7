"""The points of one film as its page shows them, and a round of them as it is kept."""

from collections.abc import Collection, Mapping

from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Point
from thumbwright.interchange.films_list import points_of
from thumbwright.storage.records import Table, Value
from thumbwright.web.film_sent import PROGRAM


def film_points(note: FilmNote) -> list[Value]:
    """Return every point that a film can have, with its newest place and state."""
    allowed = points_of(note.region)
    last: dict[Landmark, Point] = {}
    state: dict[Landmark, str] = {}
    origin: dict[Landmark, str] = {}
    for placement in note.placements:
        for name, at in placement.points.items():
            if placement.confirmed or state.get(name) != "placed":
                last[name], origin[name] = at, placement.observer
                state[name] = "placed" if placement.confirmed else "proposed"
    return [
        {
            "name": name.value,
            "label": name.words,
            "col": last[name][0] if name in last else None,
            "row": last[name][1] if name in last else None,
            "state": state.get(name, "missing"),
            "confirmed": origin.get(name) == PROGRAM and state[name] == "placed",
        }
        for name in Landmark
        if name in allowed
    ]


def rounds_of(note: FilmNote) -> int:
    """Return how many rounds were placed; what began as a proposal belongs to the round before.

    A round of which some points began as proposals is kept as two placements, so that the list
    of films tells which.
    """
    own = sum(placement.observer != PROGRAM for placement in note.placements)
    return own or sum(placement.confirmed for placement in note.placements)


def round_placements(
    points: Mapping[Landmark, Point], confirmed: Collection[str], who: str
) -> list[Value]:
    """Return one round as it is stored: what a person placed, and what began as a proposal.

    Parameters
    ----------
    points
        Every point a person placed or confirmed.
    confirmed
        Names of those that the program proposed.
    who
        Who placed the others.
    """
    own: Table = {}
    proposed: Table = {}
    for name, point in points.items():
        (proposed if name.value in confirmed else own)[name.value] = [*point]
    return [
        {"observer": observer, "confirmed": True, "points": part}
        for observer, part in ((who, own), (PROGRAM, proposed))
        if part
    ]
