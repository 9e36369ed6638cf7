"""How strongly each stuff weakens the beam.

Round effective values for hand and foot films (about 50 to 55 kV, effectively 30 to 40 keV),
RECALLED from memory, unverified, and not from any one table. Only the phantom uses them; no
plan depends on them.
"""

from enum import Enum


class Tissue(Enum):
    """A stuff of which a solid is made."""

    AIR = "air"
    SOFT = "soft tissue"
    CARTILAGE = "cartilage"
    MARROW = "marrow"
    CANCELLOUS = "cancellous bone"
    CORTICAL = "cortical bone"
    METAL = "metal"


WEAKENING_PER_MM: dict[Tissue, float] = {
    Tissue.AIR: 0.0,
    Tissue.SOFT: 0.030,
    Tissue.CARTILAGE: 0.033,
    Tissue.MARROW: 0.028,
    Tissue.CANCELLOUS: 0.055,
    Tissue.CORTICAL: 0.17,
    Tissue.METAL: 4.0,
}
"""Effective linear attenuation coefficient [1/mm]; recalled, for the phantom only."""


def excess_per_mm(inside: Tissue, displaced: Tissue) -> float:
    """Return how much more a stuff weakens the beam than the stuff whose room it takes [1/mm]."""
    return WEAKENING_PER_MM[inside] - WEAKENING_PER_MM[displaced]
