"""Named points on a film, and repeated placements of them by one or more observers."""

from dataclasses import dataclass, field
from enum import Enum
from typing import Annotated

from annotated_types import Gt, Le, Len

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import Region, View


class Landmark(Enum):
    """A point that can be named on a film.

    A *base* is the middle of the joint surface nearer the body, a *head* the middle of the
    one farther from it, a *tip* the farthest point of the last bone, a *skin tip* the
    farthest point of the soft shadow. Hand points belong to the thumb.
    """

    METACARPAL_BASE = "metacarpal_base"
    METACARPAL_HEAD = "metacarpal_head"
    PROXIMAL_PHALANX_BASE = "proximal_phalanx_base"
    PROXIMAL_PHALANX_HEAD = "proximal_phalanx_head"
    DISTAL_PHALANX_BASE = "distal_phalanx_base"
    DISTAL_PHALANX_TIP = "distal_phalanx_tip"
    SKIN_TIP = "skin_tip"
    STUMP_BONE_END = "stump_bone_end"
    STUMP_SKIN_END = "stump_skin_end"
    INDEX_METACARPAL_BASE = "index_metacarpal_base"
    INDEX_METACARPAL_HEAD = "index_metacarpal_head"

    FIRST_METATARSAL_BASE = "first_metatarsal_base"
    FIRST_METATARSAL_HEAD = "first_metatarsal_head"
    GREAT_PROXIMAL_BASE = "great_proximal_base"
    GREAT_PROXIMAL_HEAD = "great_proximal_head"
    GREAT_DISTAL_BASE = "great_distal_base"
    GREAT_DISTAL_TIP = "great_distal_tip"
    GREAT_SKIN_TIP = "great_skin_tip"

    SECOND_METATARSAL_BASE = "second_metatarsal_base"
    SECOND_METATARSAL_HEAD = "second_metatarsal_head"
    SECOND_PROXIMAL_BASE = "second_proximal_base"
    SECOND_PROXIMAL_HEAD = "second_proximal_head"
    SECOND_MIDDLE_BASE = "second_middle_base"
    SECOND_MIDDLE_HEAD = "second_middle_head"
    SECOND_DISTAL_BASE = "second_distal_base"
    SECOND_DISTAL_TIP = "second_distal_tip"
    SECOND_SKIN_TIP = "second_skin_tip"

    @property
    def words(self) -> str:
        """Return the name as it is printed."""
        return self.value.replace("_", " ")


class RayName(Enum):
    """A row of bones from body to tip."""

    THUMB = "thumb"
    GREAT_TOE = "great toe"
    SECOND_TOE = "second toe"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bone:
    """One bone of a ray, with the points at its two ends."""

    name: str
    base: Landmark
    head: Landmark


@dataclass(frozen=True, slots=True, kw_only=True)
class Ray:
    """The bones of one ray from body to tip, and the joints between them."""

    name: RayName
    region: Region
    bones: tuple[Bone, ...]
    joints: tuple[str, ...]
    """Name of the joint at the base of each bone; as many as bones."""
    skin_tip: Landmark


THUMB = Ray(
    name=RayName.THUMB,
    region=Region.HAND,
    bones=(
        Bone(
            name="first metacarpal",
            base=Landmark.METACARPAL_BASE,
            head=Landmark.METACARPAL_HEAD,
        ),
        Bone(
            name="proximal phalanx",
            base=Landmark.PROXIMAL_PHALANX_BASE,
            head=Landmark.PROXIMAL_PHALANX_HEAD,
        ),
        Bone(
            name="distal phalanx",
            base=Landmark.DISTAL_PHALANX_BASE,
            head=Landmark.DISTAL_PHALANX_TIP,
        ),
    ),
    joints=("CMC joint", "MCP joint", "IP joint"),
    skin_tip=Landmark.SKIN_TIP,
)
GREAT_TOE = Ray(
    name=RayName.GREAT_TOE,
    region=Region.FOOT,
    bones=(
        Bone(
            name="first metatarsal",
            base=Landmark.FIRST_METATARSAL_BASE,
            head=Landmark.FIRST_METATARSAL_HEAD,
        ),
        Bone(
            name="proximal phalanx",
            base=Landmark.GREAT_PROXIMAL_BASE,
            head=Landmark.GREAT_PROXIMAL_HEAD,
        ),
        Bone(
            name="distal phalanx",
            base=Landmark.GREAT_DISTAL_BASE,
            head=Landmark.GREAT_DISTAL_TIP,
        ),
    ),
    joints=("tarsometatarsal joint", "MTP joint", "IP joint"),
    skin_tip=Landmark.GREAT_SKIN_TIP,
)
SECOND_TOE = Ray(
    name=RayName.SECOND_TOE,
    region=Region.FOOT,
    bones=(
        Bone(
            name="second metatarsal",
            base=Landmark.SECOND_METATARSAL_BASE,
            head=Landmark.SECOND_METATARSAL_HEAD,
        ),
        Bone(
            name="proximal phalanx",
            base=Landmark.SECOND_PROXIMAL_BASE,
            head=Landmark.SECOND_PROXIMAL_HEAD,
        ),
        Bone(
            name="middle phalanx",
            base=Landmark.SECOND_MIDDLE_BASE,
            head=Landmark.SECOND_MIDDLE_HEAD,
        ),
        Bone(
            name="distal phalanx",
            base=Landmark.SECOND_DISTAL_BASE,
            head=Landmark.SECOND_DISTAL_TIP,
        ),
    ),
    joints=("tarsometatarsal joint", "MTP joint", "PIP joint", "DIP joint"),
    skin_tip=Landmark.SECOND_SKIN_TIP,
)
RAYS = {ray.name: ray for ray in (THUMB, GREAT_TOE, SECOND_TOE)}

Point = tuple[float, float]
"""(column, row) in pixels from the centre of the upper left pixel."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """One round of placing points on one film."""

    observer: Annotated[str, Len(1, 40)] = field(
        metadata={"description": "Who placed the points: initials or a word, no full name."}
    )
    confirmed: bool = field(
        default=True,
        metadata={"description": "False for points proposed by the program and not yet looked at."},
    )
    points: dict[Landmark, Point] = field(
        metadata={"description": "Name of the point to [column, row] in pixels."}
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """A metal ball laid beside the digit."""

    diameter_mm: Annotated[float, Gt(0), Le(60)]
    diameter_tolerance_mm: Annotated[float, Gt(0), Le(5)] = field(
        default=0.05, metadata={"description": "Half width within which the true diameter lies."}
    )
    above_bone_mm: Annotated[float, Gt(-100), Le(100)] = field(
        default=0.0,
        metadata={"description": "Height of the ball's middle over the bones' axis."},
    )
    above_bone_tolerance_mm: Annotated[float, Gt(0), Le(100)] = field(
        default=5.0, metadata={"description": "Half width within which that height is known."}
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Two points on a ruler that lay beside the digit."""

    start: Point
    end: Point
    length_mm: Annotated[float, Gt(0), Le(500)] = field(
        metadata={"description": "What the ruler reads between the two points."}
    )
    above_bone_mm: Annotated[float, Gt(-100), Le(100)] = 0.0
    above_bone_tolerance_mm: Annotated[float, Gt(0), Le(100)] = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmNote:
    """What the person who took or reads the film says of it."""

    file: Annotated[str, Len(1, 200)] = field(
        metadata={"description": "File name in the folder of films."}
    )
    region: Region
    side: Side
    view: View
    ball: Ball | None = None
    ruler: Ruler | None = None
    source_to_detector_mm: Annotated[float, Gt(300), Le(4000)] | None = field(
        default=None, metadata={"description": "Source to detector, where the header is silent."}
    )
    bone_above_detector_mm: Annotated[float, Gt(0), Le(300)] | None = field(
        default=None, metadata={"description": "Height of the bones' axis over the detector."}
    )
    tilt_limit_deg: Annotated[float, Gt(0), Le(45)] = field(
        default=6.0,
        metadata={"description": "Largest tilt of a bone against the film; 6 if taken as asked."},
    )
    placements: tuple[Placement, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmNotes:
    """All films of one case, with what is said of each."""

    films: tuple[FilmNote, ...]
