"""Vessels, nerves, tendons and bone to find and tag on both sides, technique by technique."""

from collections.abc import Mapping
from dataclasses import dataclass

from thumbwright.core.foundations.sources import Basis, Provenance

_COMMON = Basis(provenance=Provenance.COMMON_PRACTICE)
_MEMORY = Basis(provenance=Provenance.RECALLED, source="toe-teaching", locator="memory")


def _page(pages: str) -> Basis:
    return Basis(provenance=Provenance.READ, source="buncke-chapter-1", locator=pages)


@dataclass(frozen=True, slots=True, kw_only=True)
class Structure:
    """One structure on the donor's side and what it is joined to."""

    kind: str
    donor: str
    recipient: str
    basis: Basis


def _row(kind: str, donor: str, recipient: str, basis: Basis = _COMMON) -> Structure:
    return Structure(kind=kind, donor=donor, recipient=recipient, basis=basis)


_TOE_VESSELS = (
    _row(
        "artery",
        "artery of the back of the foot with its first dorsal metatarsal branch, or the "
        "plantar one",
        "radial artery in the snuff box, end to end; from a plantar artery by a vein graft",
        _page("pages 11 and 12"),
    ),
    _row(
        "vein",
        "great saphenous vein with the veins of the back of the toe",
        "cephalic vein; a vein beside the radial artery if the skin veins are spoilt",
        _page("pages 6 and 11"),
    ),
    _row(
        "nerve",
        "both plantar digital nerves of the toe",
        "both digital nerves of the thumb",
        _page("page 11"),
    ),
)
_DORSAL_NERVE = _row(
    "nerve", "deep peroneal nerve", "branch of the superficial radial nerve", _page("page 11")
)
_GREAT_TENDONS = (
    _row(
        "extensor",
        "long extensor of the great toe; the short one may help opposition",
        "long extensor of the thumb",
        _page("pages 9 and 11"),
    ),
    _row(
        "flexor",
        "long flexor of the great toe, cut in the sole or at the ankle",
        "long flexor of the thumb, above the crease of the wrist",
        _page("pages 6 and 11"),
    ),
)
_SECOND_TENDONS = (
    _row(
        "extensor",
        "long and short extensor of the second toe",
        "long extensor of the thumb",
        _MEMORY,
    ),
    _row("flexor", "long flexor of the second toe", "long flexor of the thumb", _MEMORY),
)
_ISLAND = (
    _row(
        "island flap",
        "digital artery, nerve and the fat with its small veins, on the side of the finger",
        "pulp of the new thumb",
    ),
)
_GREAT = (*_TOE_VESSELS, _DORSAL_NERVE, *_GREAT_TENDONS)
_SECOND = (*_TOE_VESSELS, _DORSAL_NERVE, *_SECOND_TENDONS)

STRUCTURES: Mapping[str, tuple[Structure, ...]] = {
    "replantation": (
        _row("artery", "both digital arteries of the part", "both digital arteries of the stump"),
        _row("vein", "two or more veins on the back of the part", "veins on the back of the stump"),
        _row("nerve", "both digital nerves of the part", "both digital nerves of the stump"),
        _row("tendon", "flexor and extensor of the part", "flexor and extensor of the stump"),
    ),
    "second_toe": _SECOND,
    "second_toe_with_mtp_joint": _SECOND,
    "great_toe": _GREAT,
    "trimmed_great_toe": _GREAT,
    "great_toe_wrap_around": (*_TOE_VESSELS, _DORSAL_NERVE),
    "partial_great_toe": _TOE_VESSELS,
    "toe_pulp_flap": (
        _row("artery", "digital artery of the toe on the side of the flap", "digital artery"),
        _row("vein", "vein of the pulp or of the back of the toe", "vein on the back of the thumb"),
        _row("nerve", "plantar digital nerve on that side", "digital nerve of the thumb"),
    ),
    "staged_osteoplastic": (
        _row("artery", "superficial circumflex iliac artery, in the base of the flap", "none"),
        _row("bone", "iliac crest behind its front end", "end of the stump"),
        *_ISLAND,
    ),
    "single_stage_osteoplastic": (
        _row("artery", "radial artery with its two veins, turned round at the wrist", "none"),
        _row("nerve", "superficial radial nerve, to be spared", "none"),
        _row("bone", "outer part of the radius", "end of the stump"),
    ),
    "pollicization": (
        _row(
            "artery",
            "both digital arteries of the index",
            "stay joined; tie the branch to the middle finger",
        ),
        _row("vein", "two veins on the back of the index", "stay joined"),
        _row("nerve", "both digital nerves, split from their common trunk", "stay joined"),
        _row("tendon", "extensors and both interossei of the index", "as motors of the thumb"),
    ),
    "damaged_finger_transfer": (
        _row("artery", "digital arteries of the finger that still run", "stay joined"),
        _row("nerve", "digital nerves of the finger", "stay joined"),
    ),
    "metacarpal_distraction": (
        _row("nerve", "branches of the superficial radial nerve, beside the pins", "none"),
        _row("tendon", "extensors, beside the pins", "none"),
    ),
    "proximal_phalanx_distraction": (
        _row("nerve", "digital nerves, beside the pins", "none"),
        _row("tendon", "extensors, beside the pins", "none"),
    ),
    "first_web_deepening": (
        _row("artery", "artery to the thumb and to the index side, deep in the web", "none"),
        _row("muscle", "first dorsal interosseous and adductor, and where they insert", "none"),
    ),
    "palmar_advancement_flap": (
        _row("bundle", "both nerve and artery bundles of the thumb, in the flap", "none"),
    ),
    "innervated_cross_finger_flap": (
        _row("nerve", "branch of the radial nerve to the back of the index", "digital nerve"),
    ),
    "first_dorsal_metacarpal_artery_flap": (
        _row("artery", "first dorsal metacarpal artery, with the fascia of its muscle", "none"),
        _row("nerve", "branch of the radial nerve to the back of the index", "digital nerve"),
    ),
    "neurovascular_island_flap": _ISLAND,
}
"""By key of the technique; what is not listed has nothing to be tagged."""


def structures_of(technique: str) -> tuple[Structure, ...]:
    """Return what must be found and tagged for a technique, by its key."""
    return STRUCTURES.get(technique, ())
