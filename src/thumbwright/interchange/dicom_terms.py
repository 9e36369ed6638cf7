"""Words and codes of DICOM headers for body part, side and view, and what they mean here.

Only what leaves no doubt is taken; every other word is no answer. Codes of body parts, sides
and views are looked up by name in the code dictionary of pydicom, which knows their old forms
(SRT) as well as the present ones (SCT), so none is written down here.
"""

from collections.abc import Iterable
from functools import cache

from thumbwright.core.case.examined import Side
from thumbwright.core.radiograph.image import Region, View
from thumbwright.interchange.dicom_elements import Elements

REGIONS = {
    "HAND": Region.HAND,
    "THUMB": Region.HAND,
    "FINGER": Region.HAND,
    "FOOT": Region.FOOT,
    "TOE": Region.FOOT,
}
"""Body Part Examined (0018,0015), terms of PS3.16, annex L."""
VAGUE_PARTS = {
    "EXTREMITY",
    "UPPER EXTREMITY",
    "UPPEREXTREMITY",
    "UPPERLIMB",
    "LOWER EXTREMITY",
    "LOWEREXTREMITY",
    "LOWERLIMB",
    "LIMB",
    "ARM",
    "LEG",
    "WRIST",
    "ANKLE",
    "CALCANEUS",
}
"""Words that may stand on a film of hand or foot, being wider or next to it."""
OTHER_PARTS = (
    "ABDOMEN",
    "CHEST",
    "CLAVICLE",
    "CSPINE",
    "ELBOW",
    "FEMUR",
    "FOREARM",
    "HEAD",
    "HIP",
    "HUMERUS",
    "KNEE",
    "LSPINE",
    "MANDIBLE",
    "NECK",
    "OTHER",
    "PELVIS",
    "RIB",
    "SCAPULA",
    "SHOULDER",
    "SKULL",
    "SPINE",
    "STERNUM",
    "THIGH",
    "TSPINE",
)
"""Body parts that are neither hand nor foot; any other word is not repeated to anyone."""
SIDES = {"R": Side.RIGHT, "L": Side.LEFT}
VIEWS = {
    "AP": View.ANTEROPOSTERIOR,
    "PA": View.POSTEROANTERIOR,
    "LL": View.LATERAL,
    "RL": View.LATERAL,
    "LLO": View.OBLIQUE,
    "RLO": View.OBLIQUE,
}
"""View Position (0018,5101), defined terms of C.8.1.1 and C.8.7.5 of [dicom-ps3-3]_.

The two decubitus terms LLD and RLD say how the patient lies, not how the beam passed.
"""

_REGION_NAMES = REGIONS
_SIDE_NAMES = {"Right": Side.RIGHT, "Left": Side.LEFT}
_VIEW_NAMES = {
    "AnteroPosterior": View.ANTEROPOSTERIOR,
    "PosteroAnterior": View.POSTEROANTERIOR,
    "Dorsoplantar": View.DORSOPLANTAR,
    # From the back of the hand to the palm is from posterior to anterior.
    "Dorsopalmar": View.POSTEROANTERIOR,
    "LateralProjection": View.LATERAL,
    "LeftLateral": View.LATERAL,
    "RightLateral": View.LATERAL,
    "LateralMedial": View.LATERAL,
    "MedioLateralProjection": View.LATERAL,
    "ObliqueProjection": View.OBLIQUE,
    "LateralOblique": View.OBLIQUE,
    "MedialOblique": View.OBLIQUE,
    "LeftOblique": View.OBLIQUE,
    "RightOblique": View.OBLIQUE,
    "AnteroPosteriorOblique": View.OBLIQUE,
    "PosteroAnteriorOblique": View.OBLIQUE,
}


def coded_regions(items: Iterable[Elements]) -> frozenset[Region]:
    """Return the regions that coded items name."""
    return frozenset(
        _REGION_NAMES[name.upper()] for name in _names(items) if name.upper() in _REGION_NAMES
    )


def coded_sides(items: Iterable[Elements]) -> frozenset[Side]:
    """Return the sides that coded items name."""
    return frozenset(_SIDE_NAMES[name] for name in _names(items) if name in _SIDE_NAMES)


def coded_views(items: Iterable[Elements]) -> frozenset[View]:
    """Return the views that coded items name."""
    return frozenset(_VIEW_NAMES[name] for name in _names(items) if name in _VIEW_NAMES)


def known_code(item: Elements) -> tuple[str, str, str] | None:
    """Return value, scheme and registered meaning of a coded item, if it is a known one."""
    value, scheme = item.text("CodeValue"), item.text("CodingSchemeDesignator")
    name = next(iter(_by_code(item)), "")
    return (value, scheme, _known_codes()[name].meaning) if name else None


def _names(items: Iterable[Elements]) -> list[str]:
    """Return the names of the known ones among coded items, by their meaning or their code.

    The meaning is what a person reads on the film's label; the dictionary of codes takes longer
    to load than four films to read, so it is asked only about meanings in other words.
    """
    found: list[str] = []
    for item in items:
        meant = _MEANINGS.get(_letters(item.text("CodeMeaning")))
        found += [meant] if meant else _by_code(item)
    return found


def _by_code(item: Elements) -> list[str]:
    """Return the dictionary name of a coded item, if it is a known one."""
    value, scheme = item.text("CodeValue"), item.text("CodingSchemeDesignator")
    if not value:
        return []
    from pydicom.sr.coding import Code  # noqa: PLC0415  see _names

    given = Code(value, scheme, "")
    return [name for name, code in _known_codes().items() if code == given][:1]


def _letters(words: str) -> str:
    return "".join(sign for sign in words.casefold() if sign.isalpha())


_CODED_NAMES = (*(name.capitalize() for name in _REGION_NAMES), *_SIDE_NAMES, *_VIEW_NAMES)
_MEANINGS = {_letters(name): name for name in _CODED_NAMES}


@cache
def _known_codes() -> dict:  # type: ignore[type-arg]
    from pydicom.sr.codedict import codes  # noqa: PLC0415  see _names

    return {name: getattr(codes.SCT, name) for name in _CODED_NAMES}
