"""Joint lines and bone ends that the program proposes between two points of a ray."""

from thumbwright.core.foundations.answer import Unknown
from thumbwright.core.foundations.errors import PlanError
from thumbwright.core.radiograph.detection import SURE_PROB, propose_along
from thumbwright.core.radiograph.film_reading import FilmReading
from thumbwright.core.radiograph.image import Region
from thumbwright.core.radiograph.landmarks import RAYS, THUMB, Landmark, Ray
from thumbwright.storage.records import Table, Value
from thumbwright.web.film_sent import SentPoints


class ProposalError(PlanError):
    """Nothing can be proposed on a film."""


def rays_to_propose(region: Region) -> list[Value]:
    """Return for each ray of a film between which points it can be proposed."""
    return [
        {
            "name": ray.name.value,
            "first": ray.bones[0].base.value,
            "last": ray.bones[-1].head.value,
            "stump": Landmark.STUMP_BONE_END.value if ray is THUMB else "",
            "bones": [bone.name for bone in ray.bones],
        }
        for ray in RAYS.values()
        if ray.region is region
    ]


def proposed_on(own: FilmReading, ray_name: str, points: SentPoints, bones: int) -> Table:
    """Propose the points of one ray that a person did not place.

    Parameters
    ----------
    own
        The film.
    ray_name
        Which ray.
    points
        Points as they stand on the page; both ends of the ray are among those placed.
    bones
        How many bones of a stump are there, from the body on; the last of them was cut. [-]

    Raises
    ------
    ProposalError
        If the ray is not of this film, an end is not placed, the film has no millimetres, or
        nothing is found along the line.
    """
    ray = _ray(own, ray_name)
    if isinstance(own.scale, Unknown):
        msg = f"no point can be proposed on {own.note.file}: {own.scale}"
        raise ProposalError(msg)
    stump, end = _end(ray, points)
    start = points.placed.get(ray.bones[0].base)
    if start is None or end is None:
        raise ProposalError(_ends_missing(ray))
    if stump and not 1 <= bones <= len(ray.bones):
        msg = (
            f"{bones} bones were said to be there; allowed are 1 to {len(ray.bones)}; count from "
            "the body on"
        )
        raise ProposalError(msg)
    found = propose_along(
        own.film.values,
        start,
        end,
        ray,
        mm_per_px=own.scale.column_mm,
        present=ray.bones[:bones] if stump else ray.bones,
        ends_in_stump=stump,
    )
    if isinstance(found, Unknown):
        msg = f"no point is proposed on {own.note.file}: {found}"
        raise ProposalError(msg)
    shown: list[Value] = [
        {
            "name": one.landmark.value,
            "col": round(one.point[0], 1),
            "row": round(one.point[1], 1),
            "confidence": f"{one.confidence_prob:.0%}".replace("%", " %"),
            "sure": one.confidence_prob >= SURE_PROB,
        }
        for one in found.points
        if one.landmark not in points.placed
    ]
    return {"points": shown}


def _ray(own: FilmReading, name: str) -> Ray:
    rays = {ray.name.value: ray for ray in RAYS.values() if ray.region is own.note.region}
    if name not in rays:
        msg = (
            f"the ray {name[:40]!r} was asked for on {own.note.file}; allowed are "
            f"{', '.join(rays)}; choose one"
        )
        raise ProposalError(msg)
    return rays[name]


def _end(ray: Ray, points: SentPoints) -> tuple[bool, tuple[float, float] | None]:
    whole = points.placed.get(ray.bones[-1].head)
    if whole is not None or ray is not THUMB:
        return False, whole
    return True, points.placed.get(Landmark.STUMP_BONE_END)


def _ends_missing(ray: Ray) -> str:
    ends = f"the {ray.bones[-1].head.words}"
    ends += " or the stump bone end" if ray is THUMB else ""
    return (
        f"the {ray.name.value} was asked for without its two ends; allowed is a ray whose "
        f"{ray.bones[0].base.words} and {ends} were placed; place both, then ask again"
    )
