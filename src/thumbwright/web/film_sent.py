"""Points as a film page sends them."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.landmarks import FilmNote, Landmark, Placement, Point
from thumbwright.interchange.films_list import EDGE_PX

PROGRAM = "program"
"""The observer of what the program proposed, confirmed by a person or not."""
RULER_ENDS = ("ruler_start", "ruler_end")


class PointsError(PlanError):
    """Points came in a way they cannot be taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SentPoints:
    """The points of one film as they stand on a page."""

    placed: Mapping[Landmark, Point] = field(default_factory=dict)
    proposed: Mapping[Landmark, Point] = field(default_factory=dict)
    """Not confirmed by anybody; never used for a length."""
    ruler: Mapping[str, Point] = field(default_factory=dict)

    def on(self, note: FilmNote) -> FilmNote:
        """Return a note that holds these points and no others."""
        kinds = ((self.placed, "now", True), (self.proposed, PROGRAM, False))
        placements = tuple(
            Placement(observer=observer, confirmed=confirmed, points=dict(points))
            for points, observer, confirmed in kinds
            if points
        )
        return replace(note, placements=placements)


def sent_points(sent: Mapping[str, Any]) -> SentPoints:
    """Read points from what a page sent.

    Raises
    ------
    PointsError
        If one has no known name, or no place that a film can have.
    """
    placed: dict[Landmark, Point] = {}
    proposed: dict[Landmark, Point] = {}
    ruler: dict[str, Point] = {}
    given = sent.get("points")
    for one in given if isinstance(given, list) else []:
        try:
            name, at = str(one["name"]), (float(one["col"]), float(one["row"]))
            landmark = None if name in RULER_ENDS else Landmark(name)
        except (KeyError, TypeError, ValueError, OverflowError) as fault:
            raise _not_read(one) from fault
        if not all(EDGE_PX <= place <= 100_000 for place in at):
            raise _not_read(one)
        if landmark is None:
            ruler[name] = at
        else:
            (placed if one.get("state") == "placed" else proposed)[landmark] = at
    return SentPoints(placed=placed, proposed=proposed, ruler=ruler)


def sent_version(given: object) -> int:
    """Return the version of the case on which a page was based.

    Raises
    ------
    PointsError
        If it is no such number.
    """
    text = str(given)
    if not text.isascii() or not text.isdigit() or len(text) > 9:
        msg = (
            f"{ascii(given)[:40]} was sent as the version of the case; allowed is a whole number; "
            "open the page anew"
        )
        raise PointsError(msg)
    return int(text)


def _not_read(one: object) -> PointsError:
    return PointsError(
        f"a point was sent as {ascii(one)[:120]}; allowed are a known name with its column and row "
        "on the film; open the page anew"
    )
